"""The operating point of a netlist in a condition, as numbers a builder can check with a meter."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from ..circuit.netlist import GROUND, Netlist, Tube
from ..records import record
from .devices.softplus import Floats
from .ports import banked
from .results import CONDITIONS, Condition, Convergence, Operating, SectionPoint
from .ripple import charging, rectifier_points, ripple_volts
from .solver import PortSolution, solve_ports
from .stress import part_stress
from .supply import heater_nets
from .system import System, at_mains, build_system

RESIDUAL_AMPS = 1e-7
"""A solution that leaves more than this in any Kirchhoff sum is none, whatever the steps say."""

SHARPEN_AMPS = 1e-9
"""A Kirchhoff sum above this is worth one more step; 1 mΩ contacts at 400 V leave 1e-10 by rounding alone."""


@record(slots=False)
class Solved:
    """A system with its solution: x unknowns (n,), u port volts (m,), i port amps (m,), slopes (m, m), Y = G + Bt slopes A (n, n).

    What small-signal work and the budgets start from; `operating` is the same in plain numbers.
    """

    system: System
    x: Floats
    u: Floats
    i: Floats
    slopes: Floats
    Y: Floats
    convergence: Convergence

    def volts(self, net: str) -> float:
        """Volts of a net against circuit ground. Raises KeyError for a net that is not solved."""
        row = self.system.row(net)
        return 0.0 if row is None else float(self.x[row])


def conditions(netlist: Netlist, controls: Mapping[str, float] | None = None) -> tuple[Condition, ...]:
    """The six conditions of results.CONDITIONS with the netlist's control positions; `controls` overrides some of them.

    Mains corners are the region's; no-tubes-high stands at its insulation corner, for the capacitors.
    """
    region = netlist.region
    positions = {c.name: c.position for c in netlist.controls} | dict(controls or {})
    mains = {
        "nominal": (region.nominal_volts, "all"),
        "high": (region.high_volts, "all"),
        "low": (region.low_volts, "all"),
        "no-tubes": (region.nominal_volts, "none"),
        "no-tubes-high": (region.insulation_high_volts, "none"),
        "small-tubes": (region.nominal_volts, "small"),
    }
    return tuple(Condition(name, mains[name][0].value, mains[name][1], positions) for name in CONDITIONS)


def solve_operating(netlist: Netlist, condition: Condition) -> Operating:
    """The DC solution of one condition. Never raises for a circuit that will not converge: `convergence` says so and names the nets."""
    return operating_of(solve_system(build_system(netlist, condition)))


def solve_system(system: System, near: Solved | None = None) -> Solved:
    """Solve a system, with its worst Kirchhoff sum. Never raises for a circuit that cannot be solved.

    near: a solution of the same amp to start from (another mains corner, a turned knob); ignored when its ports are others.
    """
    usable = near is not None and near.convergence.converged and near.system.bank.names == system.bank.names
    start = near.u if near is not None and usable else None
    try:
        found = solve_ports(system.G, system.A, system.B, system.b, system.bank, start)
    except np.linalg.LinAlgError:
        return _unsolvable(system)
    return _checked(system, found, 0)


def solve_corners(system: System, corners: Sequence[Condition]) -> list[Solved]:
    """One circuit at several mains volts, solved in one batch. corners: conditions that differ from the system's in mains volts alone."""
    systems = [system if c == system.condition else at_mains(system, c) for c in corners]
    bank = banked([s.bank for s in systems])
    starts = np.stack([s.bank.starts for s in systems])
    try:
        found = solve_ports(system.G, system.A, system.B, system.b, bank, starts)
    except np.linalg.LinAlgError:
        return [solve_system(s) for s in systems]
    return [_checked(s, found, k) for k, s in enumerate(systems)]


def _unsolvable(system: System) -> Solved:
    """What stands for the solution of a circuit whose linear part is singular."""
    zero, ports = np.zeros(system.size), np.zeros(system.bank.count)
    trouble = Convergence(False, 0, float("inf"), False, _suspects(system))
    return Solved(system, zero, ports, ports, np.zeros((len(ports), len(ports))), system.G, trouble)


@np.errstate(invalid="ignore")
def _checked(system: System, found: PortSolution, k: int) -> Solved:
    """A sample of a batch as a solution, held against Kirchhoff. What is not a number is no solution, and needs no warning beside that."""
    x = found.x[k]
    good = bool(found.converged[k]) and bool(np.all(np.isfinite(x)))
    amps, slopes = system.bank.currents(system.A @ x)
    Y = system.G + system.B.T @ slopes @ system.A
    rest = system.G @ x + system.B.T @ amps - system.b
    if good and np.abs(rest).max(initial=0.0) > SHARPEN_AMPS:
        # round-off of an ill-conditioned circuit: one Newton step on the full equations
        x = x - np.linalg.lstsq(Y, rest)[0]
        amps, slopes = system.bank.currents(system.A @ x)
        rest = system.G @ x + system.B.T @ amps - system.b
    u = system.A @ x
    sums = np.abs(rest)[: system.nodes]
    residual = float(sums.max(initial=0.0))
    good = good and residual < RESIDUAL_AMPS
    trouble = () if good else _trouble(system, found.step[k], sums)
    convergence = Convergence(good, int(found.iterations[k]), residual, bool(found.fallback[k]), trouble)
    return Solved(system, x, u, amps, slopes, Y, convergence)


def _trouble(system: System, step: Floats, sums: Floats) -> tuple[str, ...]:
    """The nets of the ports that still moved most, then those with the worst current sums; five at most."""
    ports = system.bank.ports
    step, sums = (np.nan_to_num(np.abs(v), nan=np.inf) for v in (step, sums))
    nets = [ports[k].plus for k in np.argsort(-step) if step[k] > 1e-6]
    nets += [system.nets[k] for k in np.argsort(-sums) if sums[k] > RESIDUAL_AMPS]
    return tuple(dict.fromkeys(n for n in nets if n != GROUND))[:5]


def _suspects(system: System) -> tuple[str, ...]:
    """Nets with next to no conductance, for a linear part that cannot be solved."""
    diagonal = np.abs(np.diag(system.G))[: system.nodes]
    return tuple(system.nets[k] for k in np.argsort(diagonal)[:5])


def operating_of(solved: Solved) -> Operating:
    """The plain numbers of a solution."""
    system = solved.system
    volts = {GROUND: 0.0} | {net: float(solved.x[row]) for net, row in system.index.items()}
    charged = charging(solved)
    return Operating(
        condition=system.condition,
        volts=volts,
        sections=_sections(solved, volts),
        parts=part_stress(solved, volts, {name: c.pulse for name, c in charged.items()}),
        rectifiers=rectifier_points(solved, charged),
        ripple_volts_pp=ripple_volts(solved, charged),
        convergence=solved.convergence,
    )


def _sections(solved: Solved, volts: Mapping[str, float]) -> Mapping[str, SectionPoint]:
    """Operating points of the sections that are in, gm, rp and mu from the Jacobian of the law."""
    netlist, bank = solved.system.netlist, solved.system.bank
    at = {(port.owner, port.kind): k for k, port in enumerate(bank.ports)}
    points: dict[str, SectionPoint] = {}
    for tube in solved.system.elements.tubes:
        g, p = at[tube.name, "grid"], at[tube.name, "plate"]
        s = at.get((tube.name, "screen"))
        u, i = solved.u, solved.i
        gm, gp = float(solved.slopes[p, g]), float(solved.slopes[p, p])
        screen_amps = None if s is None else float(i[s])
        points[tube.name] = SectionPoint(
            plate_volts=float(u[p]),
            grid_volts=float(u[g]),
            screen_volts=None if s is None else float(u[s]),
            cathode_to_ground_volts=volts[tube.cathode],
            plate_amps=float(i[p]),
            grid_amps=float(i[g]),
            screen_amps=screen_amps,
            cathode_amps=float(i[p] + i[g]) + (screen_amps or 0.0),
            plate_watts=float(u[p] * i[p]),
            screen_watts=None if s is None else float(u[s] * i[s]),
            transconductance=gm,
            plate_ohms=1.0 / gp if gp > 0.0 else float("inf"),
            mu=gm / gp if gp > 0.0 else float("inf"),
            heater_to_cathode_volts=_heater_to_cathode(netlist, tube.name, volts[tube.cathode], volts),
        )
    return points


def _heater_to_cathode(netlist: Netlist, section: str, cathode: float, volts: Mapping[str, float]) -> float | None:
    """Mean of the heater's two ends against the cathode; None for a tube whose cathode is its heater or whose heater is not wired."""
    tube = netlist.by_ref[netlist.by_section[section].tube]
    if not isinstance(tube, Tube) or tube.type.cathode_is_heater:
        return None
    nets = heater_nets(tube)
    if nets is None or not all(net in volts for net in nets):
        return None
    return 0.5 * (volts[nets[0]] + volts[nets[1]]) - cathode
