"""Return of the centre tap.

What it checks
    That the centre tap of a full-wave rectifier runs to the minus end of the reservoir and nowhere else; a fuse or a back-bias resistor may
    stand in the lead.

Why it matters
    The charging pulses run in this wire. Led over the ground bus they put their buzz into every stage; broken by a switch, the reservoir is
    recharged from nothing at each closing.

How it is computed
    Read off the netlist: what the tap's net and the lead behind it join.

Limits and sources
    Anything else in the lead, or another end: warning (common practice).

Example (bad)
    over: curlew
    supply/standby: {where: centre-tap, rating: 250 V 3 A, dc_rating: 600 V}

Example (good)
    over: curlew
    supply/ht_fuse: {rating: T 200mA 500V, where: centre-tap}

When to waive it
    For a standby switch in the tap of a silicon rectifier that was found to switch without a thump.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.stacks import stack_of
from ...circuit.netlist import Capacitor, Fuse, PowerTransformer, Rectifier, Resistor
from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed

NAME = "centre-tap-return"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per full-wave rectifier on a tapped winding."""
    rectifiers = {r.id: r for r in case.netlist.rectifiers}
    for tap in case.results.centre_taps:
        rectifier = rectifiers[tap.rectifier]
        if rectifier.arrangement != "full-wave":
            continue
        cure = ("one wire from the tap to the minus end of the reservoir",)
        strange = _strange(case, rectifier, tap.net, tap.through)
        if not strange and tap.legal and _reaches_reservoir(case, rectifier, tap.net, tap.joined):
            yield passed(tap.rectifier, rectifier.span, f"the tap of {tap.winding} runs to the reservoir's minus end")
            continue
        said = f"the tap of {tap.winding} does not reach the reservoir's minus end"
        if strange:
            verb = "stand" if len(strange) > 1 else "stands"
            said = f"{' and '.join(strange)} {verb} in the lead from the tap of {tap.winding} to the reservoir"
        span = case.span(strange[0]) if strange else rectifier.span
        yield failed(Severity.WARNING, tap.rectifier, span, said, label="in the tap's lead" if strange else "", helps=cure)


def _strange(case: Case, rectifier: Rectifier, net: str, through: tuple[str, ...]) -> tuple[str, ...]:
    """Parts in the lead, or hanging on the tap, that do not belong there. A tap that is circuit ground itself has a bus on it."""
    on_tap = () if net == "0" else tuple(part.ref for part, _ in case.netlist.on_net.get(net, ()))
    refs = dict.fromkeys((*through, *on_tap))
    fine = (Fuse, Resistor, PowerTransformer)
    return tuple(r for r in refs if not isinstance(case.part(r), fine) and r != rectifier.reservoir)


def _reaches_reservoir(case: Case, rectifier: Rectifier, net: str, joined: tuple[str, ...]) -> bool:
    reservoir = case.netlist.by_ref.get(rectifier.reservoir)
    minus = stack_of(case.netlist, reservoir.ref)[-1].pins[-1].net if isinstance(reservoir, Capacitor) else ""
    return minus == net or (minus == "0" and "ground" in joined)
