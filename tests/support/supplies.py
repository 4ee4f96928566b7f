"""Power supplies put into a spec, as changes of it."""

from __future__ import annotations

from support.outputs import stacked

DOUBLER = {
    "supply/transformer/high_tension": "{volts: 115 V, current: 500 mA, basis: rms, resistance: [9], no_load: 121 V}",
    "supply/rectifier": "{kind: silicon, arrangement: doubler, diodes: {part: 1N4007}}",
    **stacked(capacitor="{value: 100u, rating: 250 V, ripple: 700 mA}", balancing="68k 3W flameproof"),
}
"""Curlew on half the winding, doubled: two reservoirs of its B+."""

HYBRID = {
    "supply/transformer/high_tension": "{volts: 290 V, current: 540 mA, basis: rms, resistance: [29], no_load: 302 V}",
    "supply/rectifier/arrangement": "hybrid-bridge",
    "supply/ht_fuse/where": "before-reservoir",
    "supply/mains/fuse": "T 1A H 250V",
}
"""Heron or whimbrel on a winding without a tap: the GZ34 above, silicon below."""

SERIES = {
    "supply/transformer/heaters": "[{volts: 12.6 V, current: 1.6 A, feeds: [all], no_load: 13.2 V, series: [[V4, V5]]}]",
    "supply/heater_reference/resistors": "220 1W",
}
"""Curlew on a 12.6 V winding: the pair of EL84 in series, each twin triode across the whole."""

SERIES_RAISED = SERIES | {
    "supply/heater_reference": (
        "{kind: artificial-centre-tap, resistors: 220 1W, to: elevated, divider: {upper: 330k 1W, lower: 47k, bypass: 22u 100V, from: B2}}"
    ),
}
"""The same, raised by a divider."""
