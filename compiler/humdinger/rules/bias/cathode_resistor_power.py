"""Power of the cathode resistor.

What it checks
    The watts of each cathode resistor of the output stage, at work and with one of its tubes shorted from plate to cathode.

Why it matters
    It runs hot all the time, and when a tube shorts it is all that stands between B+ and ground: a film resistor then burns.

How it is computed
    V2/R of the solved amp at nominal mains, and of the amp solved again with the first tube on the resistor shorted; with the direct
    current of the rectifier then, and the volts the bypass capacitor stands at.

Limits and sources
    Above 50 % of its rating at work: warning. With a tube shorted: within its rating passes, and so does a wire-wound or flameproof part
    whose HT fuse has to open (2.1 times its rating, IEC 60127 time-lag gates, from memory). Without such a fuse it does not burn at once:
    info, with what else goes. Any other part burns before a fuse opens: warning (common practice).

Example (bad)
    over: curlew
    bias/resistor: 270 0.5W wirewound
    also: RES-001

Example (good)
    over: curlew
    bias/resistor: 270 5W wirewound

When to waive it
    The share at work, for a part the maker rates at the temperature under the chassis.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.results import CathodeBias
from ...circuit.netlist import Capacitor, Fuse, Resistor
from ...diagnostics import Severity
from ...units import show_amps, show_volts, show_watts
from ..fuse_gates import OPENS
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "cathode-resistor-power"
SHARE = 0.5
SAFE = ("wirewound", "flameproof", "fusible")


def check(case: Case) -> Iterator[Outcome]:
    """Two outcomes per cathode resistor: at work, and with a tube shorted."""
    for bias in case.results.cathode_biases:
        part = case.netlist.by_ref[bias.resistor]
        if not isinstance(part, Resistor):
            continue
        if part.watts is None:
            yield not_evaluated(part.ref, part.span, f"the spec does not give the watts of {part.ref}; it takes {show_watts(bias.watts)}")
            continue
        yield _at_work(part, bias, part.watts)
        yield _shorted(case, part, bias, part.watts)


def _at_work(part: Resistor, bias: CathodeBias, rated: float) -> Outcome:
    percent = 100.0 * bias.watts / rated
    equation = (
        f"{show_volts(bias.volts)} squared / {part.ohms:g} ohm = {show_watts(bias.watts)}, {percent:.0f} %; limit {100 * SHARE:.0f} %"
    )
    shared = {"value": bias.watts, "limit": SHARE * rated, "unit": "W", "condition": "nominal", "equation": equation}
    said = f"{part.ref} takes {show_watts(bias.watts)}, {percent:.0f} % of its {show_watts(rated)}"
    if bias.watts <= SHARE * rated:
        return passed(part.ref, part.span, said, **shared)
    return failed(Severity.WARNING, part.ref, part.span, said, label=f"rated {show_watts(rated)}", helps=("more watts",), **shared)


def _shorted(case: Case, part: Resistor, bias: CathodeBias, rated: float) -> Outcome:
    element = f"{part.ref} fault"
    equation = f"{show_volts(bias.shorted_volts)} squared / {part.ohms:g} ohm = {show_watts(bias.shorted_watts)}"
    condition = f"nominal, {bias.shorted_section} shorted"
    shared = {"value": bias.shorted_watts, "limit": rated, "unit": "W", "condition": condition, "equation": equation}
    said = f"with {bias.shorted_section} shorted {part.ref} takes {show_watts(bias.shorted_watts)}"
    if bias.shorted_watts <= rated:
        return passed(element, part.span, f"{said}, within its {show_watts(rated)}", **shared)
    message = f"{said}, its rating is {show_watts(rated)}"
    fuse = _opening(case, bias)
    if fuse is not None and part.technology in SAFE:
        return passed(element, part.span, f"{message}: {part.technology}, it lasts until {fuse.ref} opens", **shared)
    stands = show_volts(bias.shorted_volts)
    notes = [
        f"{c.ref} across it is rated {show_volts(c.volts)} and stands at {stands}: it may burst"
        for c in _across(case, part)
        if c.volts is not None and c.volts < bias.shorted_volts
    ]
    if bias.shorted_dc_amps is not None:
        opens = f"{fuse.ref} has to open, but not at once" if fuse else "no HT fuse opens for it"
        notes.append(f"the B+ rectifier then gives {show_amps(bias.shorted_dc_amps)}, and {opens}")
    if part.technology in SAFE:
        helps = ("an HT fuse (supply/ht_fuse) that opens; without one switch off at once when a plate glows or something smells",)
        text = f"{message}: {part.technology}, it does not burn at once"
        return failed(Severity.INFO, element, part.span, text, label=part.technology, notes=tuple(notes), helps=helps, **shared)
    helps = ("a wire-wound or flameproof part, standing free",)
    text = f"{message} and it is a {part.technology} resistor"
    return failed(Severity.WARNING, element, part.span, text, label=part.technology, notes=tuple(notes), helps=helps, **shared)


def _across(case: Case, part: Resistor) -> list[Capacitor]:
    """The capacitors in parallel with a part."""
    nets = {pin.net for pin in part.pins}
    return [c for c in case.netlist.of(Capacitor) if {pin.net for pin in c.pins} == nets]


def _opening(case: Case, bias: CathodeBias) -> Fuse | None:
    """The HT fuse that has to open in the fault."""
    loads = {load.fuse: load.shorted_rms_amps.get(bias.resistor, 0.0) for load in case.results.fuses}
    return next((fuse for fuse in case.netlist.of(Fuse) if loads.get(fuse.ref, 0.0) >= OPENS * fuse.amps), None)
