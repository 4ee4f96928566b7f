"""Networks put into dunlin or into the frozen pipit: the loss pad behind the volume, and parts that hang on the amp's nets."""

from __future__ import annotations

PAD = (
    "{stage: network, id: pad, parts: ["
    "{part: resistor, value: 220k, nets: [in, out], name: series},"
    " {part: capacitor, value: 470p 500V, nets: [in, out]},"
    " {part: resistor, value: 470k, nets: [out, ground]}]}"
)
"""In the signal, between volume and driver."""

BESIDE = (
    "{stage: network, id: side, parts: ["
    "{part: capacitor, value: 4n7 630V, nets: [first.plate, middle], name: cut},"
    " {part: pot, value: 250k audio, control: CUT, nets: [middle, middle, ground]},"
    " {part: resistor, value: 1M 0.5W, nets: [middle, ground]},"
    " {part: capacitor, value: 100p 500V, nets: [driver.plate, driver.cathode]},"
    " {part: diode, value: 1N4007, nets: [in, ground]},"
    " {part: diode, value: 1N4007, nets: [ground, in]}]}"
)
"""Hangs on the signal without an output; driver comes after it."""

DIVIDER = (
    "{stage: network, id: divider, parts: ["
    "{part: resistor, value: 100k, nets: [in, top]},"
    " {part: pot, value: 1M audio, control: LEVEL, nets: [ground, out, top]},"
    " {part: capacitor, value: 1n 630V, nets: [top, ground]},"
    " {part: resistor, value: 10M, nets: [B3, driver.cathode]},"
    " {part: diode, value: 1N4007, nets: [out, ground]}]}"
)
"""A pot whose wiper is the output, what hangs on the way, and a part between two nets of the amp."""
