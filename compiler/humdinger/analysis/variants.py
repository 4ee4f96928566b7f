"""One circuit with single resistances changed, many at once: shorted parts, an open wiper, another position of a bias pot.

Everything is a change of conductance between two nets, so the ports and their laws stay as they are and one stacked Newton solves the lot,
from the solution of the unchanged circuit.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from ..circuit.netlist import GROUND, Pot
from ..records import record
from .devices.softplus import Floats
from .elements import POT_END
from .operating import Solved
from .results import Convergence
from .solver import solve_ports
from .system import System

SHORT_OHMS = 0.01
CLOSE_AMPS = 1e-6
"""A variant whose worst Kirchhoff sum is above this has no solution that may be printed."""

Change = tuple[str, str, float]
"""Net, net, siemens added between them (negative: taken away)."""


@record(slots=False)
class Variant:
    """A changed circuit with its solution: x unknowns, u port volts, i port amps. `good`: it converged."""

    system: System
    x: Floats
    u: Floats
    i: Floats
    good: bool

    def volts(self, net: str) -> float:
        """Volts of a net against circuit ground. Raises KeyError for a net that is not solved."""
        row = self.system.row(net)
        return 0.0 if row is None else float(self.x[row])

    def port(self, owner: str, kind: str) -> tuple[float, float]:
        """Volts and amps of a port ("V4", "plate")."""
        for k, port in enumerate(self.system.bank.ports):
            if port.owner == owner and port.kind == kind:
                return float(self.u[k]), float(self.i[k])
        raise KeyError(f"{owner} has no {kind}")


def short(a: str, b: str, ohms: float = SHORT_OHMS) -> Change:
    """A resistance between two nets."""
    return a, b, 1.0 / ohms


def removed(system: System, *names: str) -> tuple[Change, ...]:
    """Takes resistors of the flat circuit away, by the names or owners they have there."""
    return tuple((r.a, r.b, -1.0 / r.value) for r in system.elements.resistors if r.name in names or r.owner in names)


def lifted_wiper(system: System, pot: Pot) -> tuple[Change, ...]:
    """The pot with its wiper off the track: the whole track stays between its ends."""
    whole: tuple[Change, ...] = ()
    if pot.net("ccw") != pot.net("cw"):
        whole = ((pot.net("ccw"), pot.net("cw"), 1.0 / pot.ohms),)
    return removed(system, f"{pot.ref}.ccw", f"{pot.ref}.cw") + whole


def moved_wiper(system: System, pot: Pot, fraction: float) -> tuple[Change, ...]:
    """The pot with its wiper at a track fraction from ccw; POT_END is left at an end."""
    below = min(max(fraction, POT_END), 1.0 - POT_END)
    lower, upper = below * pot.ohms, (1.0 - below) * pot.ohms
    halves = ((pot.net("ccw"), pot.net("wiper"), lower), (pot.net("wiper"), pot.net("cw"), upper))
    return removed(system, f"{pot.ref}.ccw", f"{pot.ref}.cw") + tuple((a, b, 1.0 / ohms) for a, b, ohms in halves if a != b)


def solve_variants(base: Solved, changes: Sequence[Iterable[Change]]) -> list[Variant]:
    """Solves the circuit of `base` once per set of changes, all in one batch. A variant that fails says so in `good`."""
    if not changes:
        return []
    system = base.system
    stacked = np.stack([added(system, system.G, change) for change in changes])
    try:
        found = solve_ports(stacked, system.A, system.B, system.b, system.bank, base.u)
    except np.linalg.LinAlgError:
        return [Variant(system, base.x * 0.0, base.u * 0.0, base.i * 0.0, False) for _ in changes]
    amps, _ = system.bank.currents(found.u)
    sums = np.einsum("snm,sm->sn", stacked, found.x) + amps @ system.B - system.b
    worst = np.max(np.abs(sums[:, : system.nodes]), axis=1, initial=0.0)
    good = found.converged & (worst < CLOSE_AMPS) & np.all(np.isfinite(found.x), axis=1)
    return [Variant(system, found.x[k], found.u[k], amps[k], bool(good[k])) for k in range(len(changes))]


def as_solved(variant: Variant, changes: Iterable[Change]) -> Solved:
    """A variant as a solution of its own, for what is read off solutions. changes: those it was solved with."""
    system = variant.system
    amps, slopes = system.bank.currents(variant.u)
    y = added(system, system.G, changes) + system.B.T @ slopes @ system.A
    return Solved(system, variant.x, variant.u, amps, slopes, y, Convergence(variant.good, 0, 0.0))


def added(system: System, matrix: Floats, changes: Iterable[Change]) -> Floats:
    """A matrix of the system's unknowns (G or Y) with changes of conductance on it."""
    g = matrix.copy()
    for a, b, siemens in changes:
        rows = [(system.index[net], sign) for net, sign in ((a, 1.0), (b, -1.0)) if net != GROUND]
        for i, si in rows:
            for j, sj in rows:
                g[i, j] += si * sj * siemens
    return g
