"""Paraphase: a phase inverter of two triodes, the second driven by a divider from the output of the first.

What it does: gives two outputs of opposite phase, each with the whole gain of a triode. Section a amplifies the signal; a divider across
its output gives section b back what a gained, and b turns that share over.

When to use it: for the sound of the early amps, and where gain is wanted of the inverter itself. Its balance is set by two resistors and
moves with the second tube: it is poorer than a long-tailed pair's, and adds second harmonic.

Topology: two common-cathode sections on one cathode resistor. The divider hangs behind the coupling capacitor of a, and its lower resistor
is the grid leak of b. On a shared cathode the two currents nearly cancel, so a bypass changes little.

Formulas: balanced when k = (rp+R)/(mu*R), one over the gain of a section, k = lower/(upper+lower), R the plate load with what hangs behind
its capacitor, R1 that of a and R2 that of b. Between the outputs in general -vb/va = (R2/R1)*(K+mu*k*R1)/(rp+R2+K), K = (mu+1)*Rk, Rk the
cathode resistor where it is not bypassed (derived by standard small-signal algebra: i2*(rp+R2+K)+i1*K = -mu*k*R1*i1).

Limits: a divider behind the capacitor needs output grids that stand at ground: not for fixed bias, nor for a tremolo at those grids, which
it would pull up on one side and pass on to the other. The next tube in the socket has another gain: measure the balance again.

Defaults: none.
"""

from __future__ import annotations

from ..builder import Scope
from ..reading import grounded_grids_only, pair_of, pair_of_triodes

KIND = "paraphase"
SECTION = "inverter"


def elaborate(scope: Scope) -> None:
    """Ports: in, out-a (inverted), out-b, plate-a, plate-b, grid-a, grid-b, cathode, supply.

    Roles: grid-leak, grid-stopper, plate-load-a, plate-load-b, cathode-resistor, cathode-bypass, coupling-a, coupling-b, divider-upper,
    divider-lower.
    """
    grounded_grids_only(scope, "divider")
    pair_of_triodes(scope, pair_of(scope))
    divider = scope.block.block("divider")
    scope.resistor("upper", scope.ports["out-a"], scope.ports["grid-b"], role="divider-upper", block=divider)
    scope.resistor("lower", scope.ports["grid-b"], "0", role="divider-lower", block=divider)
