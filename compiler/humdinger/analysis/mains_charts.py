"""The states of the voltage charts over the mains, and what a meter does to their nodes.

Nothing is scaled: a node of a regulated bias, a cutoff tube or a bleeder does not follow the mains in proportion, so every state is solved
at the low and the high corner of the region, at nominal, and with all tubes in also halfway to each corner.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..records import record, replace
from .operating import Solved, solve_corners
from .probing import meter_changes, metered_volts, shifted_nets, source_ohms
from .results import Condition, MainsChart
from .study import Study
from .variants import solve_variants

STATES = {"no-tubes": "none", "small-tubes": "small", "nominal": "all"}
"""Condition at nominal mains -> what is in the sockets."""


@record(slots=False)
class MainsSolutions:
    """Solutions by state, in order of rising mains volts."""

    by_state: Mapping[str, tuple[Solved, ...]]

    def at(self, state: str, volts: float) -> Solved:
        """The solution of a state at these mains. Raises StopIteration where there is none."""
        return next(s for s in self.by_state[state] if s.system.condition.mains_volts == volts)


def mains_solutions(study: Study) -> MainsSolutions:
    """Solves what the six conditions leave out; a corner without a solution is left out."""
    region = study.netlist.region
    low, nominal, high = (float(v) for v in (region.low_volts, region.nominal_volts, region.high_volts))
    found: dict[str, tuple[Solved, ...]] = {}
    for state in STATES:
        base = study.solved[state]
        known = {nominal: base}
        if state == "nominal":
            known |= {low: study.solved["low"], high: study.solved["high"]}
            wanted = (0.5 * (low + nominal), 0.5 * (nominal + high))
        else:
            wanted = (low, high)
        corners = [_at(base.system.condition, volts) for volts in dict.fromkeys(wanted) if volts not in known]
        solved = solve_corners(base.system, corners) if corners else []
        known |= {s.system.condition.mains_volts: s for s in solved if s.convergence.converged}
        found[state] = tuple(known[volts] for volts in sorted(known))
    return MainsSolutions(found)


def _at(condition: Condition, volts: float) -> Condition:
    return replace(condition, name=f"{condition.name} at {volts:g} V", mains_volts=volts)


def mains_charts(study: Study, solutions: MainsSolutions, metered: Mapping[str, float]) -> Mapping[str, MainsChart]:
    """The charts by state. metered: of the nominal state, which is solved elsewhere; the others are solved here."""
    charts = {}
    for state, tubes in STATES.items():
        found = solutions.by_state[state]
        base = study.solved[state]
        mains = tuple(s.system.condition.mains_volts for s in found)
        charts[state] = MainsChart(
            tubes=tubes,
            nominal_mains_volts=base.system.condition.mains_volts,
            mains_volts=mains,
            volts={net: tuple(s.volts(net) for s in found) for net in base.system.nets},
            metered_volts=metered if state == "nominal" else metered_state(base),
        )
    return charts


def metered_state(solved: Solved) -> Mapping[str, float]:
    """Net -> what a meter of 10 megohms shows, for the nets that it moves by more than 1 %, the amp solved with it on that net."""
    nets = shifted_nets(solved, source_ohms(solved))
    return metered_volts(nets, solve_variants(solved, meter_changes(nets)))
