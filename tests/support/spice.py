"""An amp solved by the engine and by ngspice on the exported deck, side by side."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from humdinger.analysis.devices.softplus import Floats
from humdinger.analysis.operating import solve_system
from humdinger.analysis.periodic import Periodic
from humdinger.analysis.results import Condition
from humdinger.analysis.smallsignal import small_signal
from humdinger.analysis.spice import Names, spice_deck
from humdinger.analysis.spice_cards import number
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


def settled_deck(found: Periodic, periods: int, step: float, options: str) -> tuple[str, Names]:
    """A transient of an amp under the sine of a periodic solution, started from the end of its period, and the names of its nodes.

    Whatever is wrong with the solution then drifts away from it. The nets of the output transformer are left to ngspice's own start, whose
    inductors begin as shorts: some tens of periods are needed for that to die away. step: seconds, the longest.
    """
    system, source = found.system, found.source
    assert source is not None
    names = Names(system.elements)
    end = replace(solve_system(system), x=found.x[-1])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("humdinger.analysis.spice.solve_system", lambda *_: end)
        deck = spice_deck(system.netlist, system.condition, analysis="tran")
    peak, hertz, node = float(np.abs(source.volts).max()), 1.0 / found.seconds, names.node(source.net)
    coils = [coil for t in system.elements.transformers for coil in t.coils]
    moving = {names.node(net) for coil in coils for net in (coil.a, coil.b)} - {names.node(net) for net in system.netlist.b_plus}
    left_out = (".options", ".tran", "R_input", "C_input", "V_input", ".end", *(f".ic v({node})=" for node in moving))
    kept = [line for line in deck.splitlines() if not line.startswith(left_out)]
    kept += [
        f".options {options}",
        f"R_drive drive_source {node} {number(source.ohms)}",
        f"V_drive drive_source 0 SIN(0 {number(peak)} {number(hertz)})",
        f".tran {number(step)} {number(periods * found.seconds)} 0 {number(step)}",
        ".end",
        "",
    ]
    return "\n".join(kept), names


def last_period(times: Floats, volts: Floats, seconds: float, points: int = 4096) -> Floats:
    """The last period of a transient at even intervals, the first one after its start."""
    at = times[-1] - seconds + seconds / points * (np.arange(points) + 1.0)
    return np.interp(at, times, volts)
