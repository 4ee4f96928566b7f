"""Mixer: two or more channels joined through a resistor each.

What it does: adds what its inputs give, each through its own resistor, at one net that feeds the next stage.

When to use it: where channels with an input jack, a gain stage and a volume of their own share the rest of the amp. The resistors keep one
channel's volume from shorting the other.

Formulas: share of one input = G/(sum of all G + GL), G = 1/(mixing resistor + source resistance of that channel), GL that of the load
(Millman's theorem, standard algebra): half for two equal resistors into a grid.

Limits: the channels' phases should agree, else bass thins out with both in use. Mixing resistors stand in series with the next tube's
input capacitance and dull the treble.

Defaults: 470k each (common practice).
"""

from __future__ import annotations

from ...units.values import Resistance
from ..builder import Fill, Scope

KIND = "mixer"
SECTION = "preamp"

EACH = Fill("470k", Resistance(470e3), "common practice: large enough that one volume hardly moves the other channel")


def elaborate(scope: Scope) -> None:
    """Ports: in (the first), in-2 ..., out. Roles: resistor-1, resistor-2 ..."""
    out = scope.net("out", label=f"{scope.id} sum")
    for number, block in enumerate(scope.block.blocks("inputs"), 1):
        scope.source = scope.builder.outputs.get(str(block.get("from")), {})
        net = scope.port("in" if number == 1 else f"in-{number}", scope.fed())
        scope.resistor("resistor", net, out, role=f"resistor-{number}", fill=EACH, block=block)
    scope.port("out", out)
