"""An amp solved by the engine and by ngspice on the exported deck, side by side."""

from __future__ import annotations

import numpy as np

from humdinger.analysis.operating import solve_system
from humdinger.analysis.results import Condition
from humdinger.analysis.smallsignal import small_signal
from humdinger.analysis.spice import Names, spice_deck
from humdinger.analysis.system import build_system
from humdinger.circuit.netlist import Netlist
from support.ngspice import run_deck


def dc_differences(netlist: Netlist, condition: Condition) -> dict[str, float]:
    """Net -> difference of its DC volts, as a share of the larger of the volts and 1 V."""
    solved = solve_system(build_system(netlist, condition))
    assert solved.convergence.converged
    names = Names(solved.system.elements)
    found = run_deck(spice_deck(netlist, condition))
    return {net: abs(float(found[names.node(net)][0]) - solved.volts(net)) / max(abs(solved.volts(net)), 1.0) for net in solved.system.nets}


def ac_differences(netlist: Netlist, condition: Condition, points: int = 10) -> tuple[float, float]:
    """Worst decibels and degrees over all nets the signal reaches (1 µV per volt at the input), at `points` of the deck's sweep."""
    amp = small_signal(netlist, condition)
    names = Names(amp.system.elements)
    found = run_deck(spice_deck(netlist, condition, analysis="ac"))
    hertz = np.real(found["frequency"])
    chosen = np.unique(np.linspace(0, len(hertz) - 1, points).round().astype(int))
    nets = amp.system.nets
    own = amp.transfer(netlist.input_net, nets, hertz[chosen])
    reference = np.stack([found[names.node(net)][chosen] for net in nets], axis=-1)
    reached = np.abs(reference) > 1e-6
    assert reached.any(axis=0).sum() > 5
    ratio = own[reached] / reference[reached]
    return float(np.max(np.abs(20.0 * np.log10(np.abs(ratio))))), float(np.max(np.abs(np.degrees(np.angle(ratio)))))


def settled_means(netlist: Netlist, condition: Condition, nets: tuple[str, ...]) -> dict[str, tuple[float, float]]:
    """Net -> mean volts and ripple peak to peak over the last mains cycle of a transient with the real supply."""
    names = Names(build_system(netlist, condition).elements)
    found = run_deck(spice_deck(netlist, condition, "real", "tran"))
    time = found["time"]
    last = time >= time[-1] - 1.0 / netlist.mains_hertz
    span = time[last]
    rows = {}
    for net in nets:
        volts = found[names.node(net)][last]
        rows[net] = (float(np.trapezoid(volts, span) / (span[-1] - span[0])), float(np.ptp(volts)))
    return rows
