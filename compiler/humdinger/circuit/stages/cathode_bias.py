"""Cathode bias: the output tubes' own current makes their bias across a resistor under the cathode.

What it does: lifts the cathodes above the grids, which are at ground. It corrects itself: more current, more bias.

When to use it: up to some 20 W. No negative supply, no adjustment; separate resistors also even out a pair.

Topology: shared: all cathodes on one net, one resistor and one capacitor to ground. separate: one resistor and one capacitor for each.

Formulas: Rk = |Vg|/(Ia + Ig2) for one tube (EL84: 7.3 V/(48 + 5.5 mA) = 136 ohm against 135 of the sheet); half of that for a
shared pair. What is left of a slow common drive to the grids: |(1 + jwRC)/(1 + n*gm*R + jwRC)|, n tubes on R, gm with the screen's
(standard algebra): tremolo at the grids needs a large capacitor.

Limits: twice the resistor's dissipation in rating (common practice); capacitor rated for 1.5 times the idle drop, 50 V at least.

Defaults: arrangement shared.
"""

from __future__ import annotations

from ..builder import Fill, Scope
from ..netlist import GROUND

KIND = "cathode-bias"
SECTION = "output"

SHARED = Fill("shared", "shared", "one resistor for all output cathodes")


def elaborate(scope: Scope) -> None:
    """Ports: cathode (shared, or a single tube) or cathode-a, cathode-b; of tubes in parallel cathode-a1 and so on.

    Roles: resistor, bypass, with -a and -b when separate. Facts: arrangement.
    """
    scope.title = "Bias"
    scope.facts["arrangement"] = str(scope.value("arrangement", SHARED)[0])
    head = "output.cathode-"
    nets = {port.removeprefix(head): net for port, net in scope.source.items() if port.startswith(head)}
    if len(set(nets.values())) <= 1:
        nets = {"": next(iter(nets.values()), GROUND)}
    for letter, net in nets.items():
        scope.port(f"cathode-{letter}" if letter else "cathode", net)
        scope.resistor("resistor", net, GROUND, suffix=letter)
        scope.capacitor("bypass", net, GROUND, suffix=letter)
