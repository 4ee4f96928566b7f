"""Cathodyne: a phase inverter of one triode with equal loads in plate and cathode.

What it does: gives two outputs of opposite phase, each a little smaller than the input. The same current flows through both loads, so
the outputs are alike as long as the loads are.

When to use it: ahead of output tubes that need little drive, with a gain stage before it.

Topology: plate load to B+, cathode resistor from the cathode to the top of the cathode load, cathode load to ground. The grid leak
returns to the top of the cathode load, so the cathode resistor alone sets the bias and the leak is bootstrapped: most of the signal is at
both its ends and it loads the stage before by far more than its value. The cathode output is taken from the top of the cathode load, not
from the cathode itself: there both outputs see exactly one load.

Formulas: gain to each output mu*R/(rp+(mu+2)*R+(mu+1)*Rk) (with Rk = 0 as in the Radiotron Designer's Handbook ch. 7, from memory: mu
100, rp 62.5k, R 100k give 0.974). Source resistance of each output with both loaded alike R*rp/(rp+(mu+2)*R) (from memory, same chapter).

Limits: the cathode stands at a third to a half of the B+ node's voltage: mind the heater-cathode limit. Grid current in the output tubes
upsets the balance, hence stoppers on this grid and on theirs (common practice).

Defaults: grid stopper 10k, which tames the stage when the output grids draw current (common practice: 10k or more).
"""

from __future__ import annotations

from ...units.values import Resistance
from ..builder import Fill, Scope
from ..netlist import GROUND
from ..reading import blocked

KIND = "cathodyne"
SECTION = "inverter"

STOPPER = Fill(
    "10k", Resistance(10e3), "common practice: 10k or more on the grid of a cathodyne, against blips when the output grids draw current"
)


def elaborate(scope: Scope) -> None:
    """Ports: in, out-a (from the plate, inverted), out-b (from the top of the cathode load), plate, cathode, grid, bias (that top), supply.

    Roles: grid-leak, grid-stopper, load-a (plate), load-b (cathode), cathode-resistor, coupling-a, coupling-b.
    """
    source = scope.port("in", scope.fed())
    if source != scope.source.get("plate") and not blocked(scope, source):
        scope.builder.problem(
            "ELB-013",
            "direct-current-into-inverter",
            f"the grid of {scope.id} stands above ground, but what feeds it has a DC path to ground",
            scope.block.span,
            notes=("feed it from a stage with a coupling capacitor, or with `coupling: direct`",),
        )
    grid = scope.port("grid", scope.net("grid"))
    plate = scope.port("plate", scope.net("plate"))
    cathode = scope.port("cathode", scope.net("cathode"))
    bias = scope.port("bias", scope.net("bias", label=f"{scope.id} top of the cathode load"))
    supply = scope.port("supply", scope.supply())
    scope.resistor("grid_leak", source, bias)
    scope.resistor("grid_stopper", source, grid, fill=STOPPER)
    scope.tube(scope.block.get("tube"), plate=plate, grid=grid, cathode=cathode)
    scope.resistor("load", supply, plate, suffix="a", label="plate load")
    scope.resistor("cathode_resistor", cathode, bias)
    scope.resistor("load", bias, GROUND, suffix="b", label="cathode load")
    scope.capacitor("coupling", plate, scope.port("out-a", scope.net("out-a")), suffix="a")
    scope.capacitor("coupling", bias, scope.port("out-b", scope.net("out-b")), suffix="b")
