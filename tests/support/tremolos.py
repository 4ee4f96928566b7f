"""Amps whose tremolo goes in somewhere else than at the output grids, and two tones stepped through time as reference for their depth."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import yaml

from humdinger.analysis.results import Tremolo
from humdinger.analysis.spice import Names, spice_deck
from humdinger.analysis.study import study
from humdinger.analysis.system import build_system
from humdinger.analysis.tremolo import tremolo
from humdinger.circuit.netlist import Netlist
from support.amps import changed, demo_text, dump
from support.ngspice import run_deck

FOLLOWER = "follower: {tube: V2b, supply: B3, cathode_resistor: 47k 1W}"
PREAMP = {
    "tubes/V1": "12AX7",
    "signal/1/cathode_bypass": "~",
    "signal/1/coupling": "6n8 630V",
    "signal/4/coupling": "10n 630V",
}
"""Curlew with a first stage whose cathode is free to move, and coupling capacitors that keep the slow wave out of the output stage."""


def preamp_cathode() -> str:
    """Curlew with the tremolo on its first cathode, from a follower."""
    return changed(
        demo_text("curlew"), PREAMP | {"modulation/injection": f"{{point: preamp-cathode, stage: first, through: 82k, {FOLLOWER}}}"}
    )


def inverter_tail(through: str = "150k") -> str:
    """Curlew with the tremolo on the tail of its pair, from a follower."""
    return changed(demo_text("curlew"), {"modulation/injection": f"{{point: inverter-tail, through: {through}, {FOLLOWER}}}"})


CELL = "{dark: 1M, bright: 2k, at: 1 mA, rise: 3 ms, fall: 25 ms, volts: 150 V, power: 0.2 W, light_current: 20 mA}"
"""An optical cell of the usual kind (figures from memory)."""


def with_cell(text: str, at: int, arrangement: str = "series", resistor: str = "220k", follower: str = "47k 1W") -> str:
    """An amp with an optical cell in the signal at a place of it, lit by a follower at V2b."""
    tree = yaml.load(text, yaml.BaseLoader)
    cell = f"{{stage: optical-cell, id: pulse, arrangement: {arrangement}, resistor: {resistor}, cell: {CELL}}}"
    lit = f"{{point: optical, stage: pulse, follower: {{tube: V2b, supply: B3, cathode_resistor: {follower}}}}}"
    tree["signal"].insert(at, yaml.load(cell, yaml.BaseLoader))
    tree["modulation"]["injection"] = yaml.load(lit, yaml.BaseLoader)
    return dump(tree)


def optical(arrangement: str = "series", resistor: str = "220k") -> str:
    """Curlew with an optical cell behind its volume control."""
    return with_cell(demo_text("curlew"), 4, arrangement, resistor)


def wave_of(netlist: Netlist) -> Tremolo:
    """The tremolo's numbers of an amp that has them."""
    found = tremolo(study(netlist))
    assert found is not None
    return found


SIGNAL = 1e-3
"""Peak volts of the signal at the input."""
STEP = 4e-5
TURNS = 4
"""Turns of the slow wave that are stepped through; the last one is read."""


def two_tones(netlist: Netlist, wave: Tremolo) -> tuple[float, float]:
    """Loudest and softest gain at 1 kHz over the last turn, by ngspice.

    The oscillator's plate is held to a sine of the estimated swing, as the engine does; the signal is a millivolt. The envelope is the
    part at 1 kHz in a window of 16 ms (raised cosine).
    """
    oscillator = netlist.stages_of("phase-shift-oscillator")[0]
    intensity = netlist.by_ref[oscillator.parts["intensity"]].label
    found = study(netlist)
    base = found.nominal.condition
    condition = replace(base, tremolo=True, controls=dict(base.controls) | {intensity: 1.0})
    names = Names(build_system(netlist, condition).elements)
    deck = spice_deck(netlist, condition)
    deck = re.sub(r"(?m)^\.op$|^\.end$", "", deck)
    deck = re.sub(r"(?m)^\.options.*$", ".options reltol=1e-4 abstol=1e-10 vntol=1e-6 gmin=1e-15", deck)
    plate, source, out = (names.node(net) for net in (oscillator.ports["plate"], netlist.input_net, netlist.output_net))
    turn = 1.0 / wave.slow_hertz
    assert wave.plate_peak_volts is not None
    deck += f"\nVplate {plate} 0 SIN({found.nominal.volts[oscillator.ports['plate']]!r} {wave.plate_peak_volts!r} {wave.slow_hertz!r})"
    deck += f"\nRsource {source} 0 1\nIsource 0 {source} SIN(0 {SIGNAL} 1000)"
    deck += f"\n.save v({out})\n.tran {STEP} {TURNS * turn!r} {(TURNS - 1) * turn - 0.01!r} {STEP}\n.end\n"
    vectors = run_deck(deck)
    time, volts = np.real(vectors["time"]), np.real(vectors[out])
    even = np.arange(time[0], time[-1], STEP)
    carried = np.interp(even, time, volts) * np.exp(-2j * np.pi * 1000.0 * even)
    window = np.hanning(round(0.016 / STEP))
    envelope = 2.0 * np.abs(np.convolve(carried, window / window.sum(), "valid")) / SIGNAL
    return float(envelope.max()), float(envelope.min())
