"""Floating paraphase: a phase inverter of two triodes, the second driven by what the two outputs differ by.

What it does: gives two outputs of opposite phase with the whole gain of a triode, and balances itself. Two resistors lead from the outputs
to a common point, the grid of section b: what b lacks to mirror a appears there and drives it.

When to use it: where a paraphase is wanted whose balance does not hang on the second tube's gain.

Topology: two common-cathode sections on one cathode resistor. The see-saw of the two resistors hangs behind the coupling capacitors; its
middle is grid b, with a leak to ground.

Formulas: with A = mu*R2/(rp+R2+K) and B = (R2/R1)*K/(rp+R2+K), K = (mu+1)*Rk (0 with a bypass), S = 1/Ra+1/Rb+1/Rl:
-vb/va = (1/Ra+S*B/A)/(1/Rb+S/A) (derived: currents into the middle, standard small-signal algebra). With Ra = Rb = R and Rl left
out that is A/(A+2) without K: 50 times gives 0.96. It is exactly one for 1/Ra = 1/Rb + S*(1-B)/A: resistor a a little smaller.

Limits: as of the paraphase: output grids at ground, so no fixed bias and no tremolo at those grids. The leak takes from the gain of the
see-saw: make it no smaller than the resistors.

Defaults: none.
"""

from __future__ import annotations

from ..builder import Scope
from ..reading import grounded_grids_only, pair_of, pair_of_triodes

KIND = "floating-paraphase"
SECTION = "inverter"


def elaborate(scope: Scope) -> None:
    """Ports: in, out-a (inverted), out-b, plate-a, plate-b, grid-a, grid-b (the middle of the see-saw), cathode, supply.

    Roles: grid-leak, grid-stopper, plate-load-a, plate-load-b, cathode-resistor, cathode-bypass, coupling-a, coupling-b, seesaw-a,
    seesaw-b, seesaw-leak.
    """
    grounded_grids_only(scope, "seesaw")
    pair_of_triodes(scope, pair_of(scope))
    seesaw = scope.block.block("seesaw")
    for letter in "ab":
        scope.resistor(letter, scope.ports[f"out-{letter}"], scope.ports["grid-b"], role=f"seesaw-{letter}", block=seesaw)
    scope.resistor("leak", scope.ports["grid-b"], "0", role="seesaw-leak", block=seesaw)
