"""A netlist solved in all its conditions: what the derived numbers start from. Nothing here is solved twice."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from ..circuit.netlist import Netlist, Switch
from ..records import record, replace
from .elements import Elements
from .operating import Solved, conditions, operating_of, solve_corners
from .results import CONDITIONS, Condition, Operating
from .smallsignal import SmallSignal, linearise
from .system import build_system

COLD = "no-tubes-high"
"""The condition capacitors are judged in."""


@record(slots=False)
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
    alike: dict[str, list[Condition]] = {}
    for condition in conditions(netlist):
        alike.setdefault(condition.tubes, []).append(condition)
    found = {s.system.condition.name: s for corners in alike.values() for s in solve_corners(build_system(netlist, corners[0]), corners)}
    solved = {name: found[name] for name in CONDITIONS}
    return Study(netlist, solved, {name: operating_of(found) for name, found in solved.items()})


def silencers(netlist: Netlist) -> tuple[str, ...]:
    """Owners of what holds a tremolo oscillator still in the flat circuit: the pedal, or the contact `elements` puts at its grid."""
    pedals = tuple(s.ref for s in netlist.of(Switch) if s.where == "footswitch")
    return pedals or tuple(stage.id for stage in netlist.stages_of("phase-shift-oscillator"))


def with_controls(netlist: Netlist, condition: Condition, **changed: float) -> Condition:
    """A condition with some controls moved; names as on the panel."""
    return replace(condition, controls=dict(condition.controls) | changed)
