"""A netlist solved in all its conditions: what the derived numbers start from. Nothing here is solved twice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ..circuit.netlist import Netlist
from .elements import Elements, TwoPole
from .operating import Solved, conditions, operating_of, solve_system
from .results import Condition, Operating
from .smallsignal import SmallSignal, linearise
from .system import System, build_system

COLD = "no-tubes-high"
"""The condition capacitors are judged in."""
SHORT_OHMS = 0.01


@dataclass(frozen=True)
class Study:
    """Solutions by condition name: `solved` with matrices, `operating` in plain numbers."""

    netlist: Netlist
    solved: Mapping[str, Solved]
    operating: Mapping[str, Operating]

    @property
    def nominal(self) -> Operating:
        """The nominal condition."""
        return self.operating["nominal"]

    @property
    def cold(self) -> Operating:
        """Every tube but a rectifier out, mains at the insulation corner."""
        return self.operating[COLD]

    def elements(self, condition: str) -> Elements:
        """The flat circuit of a condition."""
        return self.solved[condition].system.elements

    @cached_property
    def playing(self) -> SmallSignal:
        """Small signals at nominal mains, controls as they stand, tremolo off."""
        return linearise(self.solved["nominal"])


def study(netlist: Netlist) -> Study:
    """Solves every condition. Raises ValueError for a tube without a model; what does not converge says so in its Operating."""
    solved = {c.name: solve_system(build_system(netlist, c)) for c in conditions(netlist)}
    return Study(netlist, solved, {name: operating_of(found) for name, found in solved.items()})


def with_controls(netlist: Netlist, condition: Condition, **changed: float) -> Condition:
    """A condition with some controls moved; names as on the panel."""
    return replace(condition, controls=dict(condition.controls) | changed)


def shorted(system: System, *pairs: tuple[str, str, str]) -> System:
    """The system with 0.01 ohm between pairs of nets: (name, net, net) each."""
    extra = tuple(TwoPole(name, name, a, b, SHORT_OHMS) for name, a, b in pairs)
    return with_resistors(system, extra)


def with_resistors(system: System, extra: tuple[TwoPole, ...]) -> System:
    """The system with resistors added; only its conductances change."""
    g = system.G.copy()
    for pole in extra:
        direction = np.zeros(system.size)
        for net, sign in ((pole.a, 1.0), (pole.b, -1.0)):
            row = system.row(net)
            if row is not None:
                direction[row] += sign
        g += np.outer(direction, direction) / pole.value
    elements = replace(system.elements, resistors=(*system.elements.resistors, *extra))
    return replace(system, G=g, elements=elements)
