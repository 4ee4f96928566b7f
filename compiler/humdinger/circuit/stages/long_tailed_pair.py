"""Long-tailed pair: a phase inverter of two triodes with joined cathodes over a tail.

What it does: turns one signal into two of opposite phase, with gain. Side a is driven and inverts, side b follows through the cathodes.

When to use it: ahead of a push-pull output that needs more drive than a splitter of one triode gives.

Topology: both cathodes meet at the cathode resistor, which ends at the tail; the tail ends at ground. Both grid leaks return to the
junction of cathode resistor and tail, so the cathode resistor alone sets the bias while the tail lifts the whole pair. Grid b is held
still for the signal by its capacitor. With `feedback.to` naming this stage, tail and capacitor end on the feedback node instead of
ground, and what is fed back acts against grid b.

Formulas: i1*[rp+R1+(mu+1)*Rt] + i2*(mu+1)*Rt = mu*v and i1*(mu+1)*Rt + i2*[rp+R2+(mu+1)*Rt] = 0, Rt tail plus cathode resistor
(standard small-signal algebra). Balance: R2 = R1*(rp+k)/(k-R1), k = (mu+1)*Rt: 82k and 10k, mu 100, rp 62.5k give 94.8k (computed). The
grid-leak currents are neglected.

Limits: the heater-cathode limit of the tube, since the cathodes stand at the tail's drop; a tail drop of a quarter of the B+ node is a
usual aim (common practice). The input must come through a capacitor: the grids stand well above ground.

Defaults: none.
"""

from __future__ import annotations

from ..builder import Scope
from ..reading import blocked, pair_of

KIND = "long-tailed-pair"
SECTION = "inverter"


def elaborate(scope: Scope) -> None:
    """Ports: in, out-a (inverted), out-b, plate-a, plate-b, grid-a, grid-b, cathode, tail, supply.

    Roles: grid-leak-a, grid-leak-b, grid-stopper, grid-bypass, plate-load-a, plate-load-b, cathode-resistor, tail, coupling-a, coupling-b.
    """
    source = scope.port("in", scope.fed())
    if not blocked(scope, source):
        scope.builder.problem(
            "ELB-013",
            "direct-current-into-inverter",
            f"the grids of {scope.id} stand above ground, but what feeds it has a DC path",
            scope.block.span,
            notes=("feed it from a stage with a coupling capacitor",),
        )
    cathode = scope.port("cathode", scope.net("cathode"))
    tail = scope.port("tail", scope.net("tail", label=f"{scope.id} top of the tail"))
    back = scope.cathode_return()
    grids = {"a": source, "b": scope.net("grid-b")}
    scope.resistor("grid_leak", source, tail, suffix="a")
    if "grid_stopper" in scope.block:
        grids["a"] = scope.net("grid-a")
        scope.resistor("grid_stopper", source, grids["a"])
    for letter, name in zip("ab", pair_of(scope), strict=True):
        plate = scope.port(f"plate-{letter}", scope.net(f"plate-{letter}"))
        scope.port(f"grid-{letter}", grids[letter])
        scope.tube(name, plate=plate, grid=grids[letter], cathode=cathode)
    supply = scope.port("supply", scope.supply())
    scope.resistor("plate_load_a", supply, scope.ports["plate-a"])
    scope.resistor("plate_load_b", supply, scope.ports["plate-b"])
    scope.resistor("cathode_resistor", cathode, tail)
    scope.resistor("tail", tail, back)
    scope.resistor("grid_leak", grids["b"], tail, suffix="b")
    scope.capacitor("grid_bypass", grids["b"], back)
    for letter in "ab":
        scope.capacitor("coupling", scope.ports[f"plate-{letter}"], scope.port(f"out-{letter}", scope.net(f"out-{letter}")), suffix=letter)
