"""Fuse in a cathode return.

What it checks
    That nothing which opens on purpose stands alone between an output cathode and ground: no fuse, and no fusible resistor.

Why it matters
    When it opens the cathode rises to B+, the insulation to the heater breaks down, and the bypass capacitor bursts.

How it is computed
    Read off the netlist: fuses and fusible resistors between a power section's cathode and ground without a plain resistor beside them.

Limits and sources
    Any: error (common practice). B+ is fused in the rectifier's leads instead.

Example (bad)
    over: heron
    bias/test_resistor: 1 1W 1% fusible

Example (good)
    over: heron
    bias/test_resistor: 1 1W 1%

When to waive it
    Not: a fuse in the B+ supply does the same without this.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import GROUND, Fuse, Part, Resistor
from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed

NAME = "fuse-in-cathode-return"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per output cathode that is not on ground itself."""
    netlist = case.netlist
    for net in dict.fromkeys(netlist.by_section[ref].cathode for ref in netlist.power_sections):
        if net == GROUND:
            continue
        here = [p for p, _ in netlist.on_net.get(net, ()) if GROUND in {pin.net for pin in p.pins}]
        plain = [p for p in here if isinstance(p, Resistor) and not _opens(p)]
        bad = next((p for p in here if _opens(p)), None)
        names = " and ".join(ref for ref in netlist.power_sections if netlist.by_section[ref].cathode == net)
        if bad is not None and not plain:
            message = f"{bad.ref} in the cathode return of {names} opens by design: the cathode then rises to B+"
            helps = ("a plain or wire-wound resistor here, the fuse in the B+ supply",)
            yield failed(Severity.ERROR, net, bad.span, message, label="opens the cathode", helps=helps)
        elif plain:
            yield passed(net, plain[0].span, f"{plain[0].ref} keeps the cathode of {names} at ground")


def _opens(part: Part) -> bool:
    return isinstance(part, Fuse) or (isinstance(part, Resistor) and part.technology == "fusible")
