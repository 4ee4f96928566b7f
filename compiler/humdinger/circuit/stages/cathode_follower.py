"""Cathode follower: one triode section with its load in the cathode.

What it does: passes the signal on with a gain just below one from a low source resistance. It does not invert.

When to use it: to drive a load that would spoil the gain of a plain stage: a tone network, a long cable, a bias feed.

Topology: coupled direct, the grid hangs on the plate before it and the cathode resistor runs from cathode to ground. Not coupled
direct, a bias resistor stands between the cathode and the cathode resistor, and the grid leak returns to their junction: the drop of the
bias resistor alone is the bias, and the leak is bootstrapped, so it loads the stage before by far more than its value.

Formulas: gain mu*R/(rp+(mu+1)*R), output resistance R parallel rp/(mu+1): 428 ohm for mu 17, rp 7.7k (standard small-signal algebra).

Limits: the heater-cathode limit, since the cathode stands at the grid's voltage; coupled direct, the cold start puts B+ on the grid while
the cathode is still at ground.

Defaults: grid stopper 10k (common practice: 10k or more). Not coupled direct: grid leak 1M; bias resistor 1k5, which puts the cathode
at a fifth to a half of a 250 V to 320 V node for 12AX7, 12AT7 and 12AU7 with 47k to 100k in the cathode (computed with the fitted models).
"""

from __future__ import annotations

from ...units.values import Resistance
from ..builder import Fill, Scope
from ..netlist import GROUND
from ..reading import blocked

KIND = "cathode-follower"
SECTION = "preamp"

STOPPER = Fill(
    "10k", Resistance(10e3), "common practice: 10k or more on the grid of a follower, which oscillates easily into a capacitive load"
)
LEAK = Fill("1M", Resistance(1e6), "common practice; bootstrapped, it loads the stage before by far more")
BIAS = Fill("1k5", Resistance(1500.0), "puts the cathode at a fifth to a half of its B+ node for the usual twin triodes (computed)")


def elaborate(scope: Scope) -> None:
    """Ports: in, out, grid, cathode, plate (its B+ node), supply; bias (the junction) when not coupled direct.

    Roles: grid-leak, grid-stopper, bias-resistor, cathode-resistor, coupling. Facts: direct.
    """
    source = scope.port("in", scope.fed())
    hangs_on_plate = source == scope.source.get("plate")
    direct = bool(scope.block.get("direct", hangs_on_plate))
    scope.facts["direct"] = direct
    grid = scope.port("grid", scope.net("grid"))
    cathode = scope.port("cathode", scope.net("cathode"))
    supply = scope.port("supply", scope.supply())
    scope.port("plate", supply)
    foot = cathode
    if not direct:
        foot = scope.port("bias", scope.net("bias", label=f"{scope.id} foot of the bias resistor"))
        if not blocked(scope, source):
            _needs_capacitor(scope)
    if not direct or "grid_leak" in scope.block:
        scope.resistor("grid_leak", source, GROUND if direct else foot, fill=LEAK)
    scope.resistor("grid_stopper", source, grid, fill=STOPPER)
    scope.tube(scope.block.get("tube"), plate=supply, grid=grid, cathode=cathode)
    if not direct:
        scope.resistor("bias_resistor", cathode, foot, fill=BIAS)
    scope.resistor("cathode_resistor", foot, GROUND)
    if "coupling" in scope.block and scope.block.get("coupling") != "direct":
        scope.capacitor("coupling", cathode, scope.port("out", scope.net("out")))
    else:
        scope.port("out", cathode)


def _needs_capacitor(scope: Scope) -> None:
    scope.builder.problem(
        "ELB-015",
        "direct-current-into-follower",
        f"the grid of {scope.id} stands above ground, but what feeds it has a DC path",
        scope.block.span,
        notes=("feed it from a stage with a coupling capacitor, or from one with `coupling: direct`",),
    )
