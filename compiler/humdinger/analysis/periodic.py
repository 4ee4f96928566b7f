"""The periodic steady state of a circuit under a periodic drive: what it does when it has done it for a long time.

All instants of one period are unknown at once. The period is cut into N equal steps of the two-stage SDIRK method of order two
(gamma = 1 - 1/sqrt 2; R. Alexander, SIAM J. Numer. Anal. 14(6), 1977, from memory): L-stable, where the trapezoidal rule leaves step
eigenvalues near -1 at every picofarad and the periodicity condition nearly singular, and plain backward Euler is biased.

With states y = Γ D x and c = 1/(gamma h), a stage is G x + Dt c (Γ D x - y_before) + Bt f(A x) = b(t). Eliminating x leaves the port
volts: u + K (f - g0 u) = T y_before + U b, and y = H y_before + E b - L (f - g0 u), with the shift g0 of the DC solver. Newton linearises
all ports of all stages in one call; every step then is an affine map of the states, the maps are composed pairwise over the period, and
y_0 = Φ y_0 + c closes it. Bias shift, supply sag and blocking are in the answer; there is no settling to wait for.

Stability is not looked at: an oscillator in the circuit is found at rest, its unstable idle.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np

from ..records import record
from .devices.softplus import Floats
from .system import System

GAMMA = 1.0 - 1.0 / np.sqrt(2.0)
BETA = (1.0 - GAMMA) / GAMMA
"""The second stage starts from y_0 + BETA (y_1 - y_0)."""
STEPS = 64
"""Of a sweep: power within 1e-3, distortion within 1 % of its value (measured on the demos against 256)."""
TOLERANCE = 1e-6
"""Last change of any port over 1 + |volts|."""
ITERATIONS = 60
FREEDOM = 2.0
"""A port may move so many times the limit of the DC solver in one step: it starts from a nearby period, not from nowhere."""
STRIDE = 0.05
"""Newton goes at least this share of its step."""


@record(slots=False)
class Source:
    """A source at a net through `ohms`: volts (2 N,) at the stages of the period, in the order of `stage_times`."""

    net: str
    ohms: float
    volts: Floats


@record(slots=False)
class Periodic:
    """One period in the steady state. u: port volts (2 N, m) at the stages; y: states before each stage (2 N, s).

    converged, iterations; change: the last change of any port, volts over 1 + |volts|.
    """

    system: System
    seconds: float
    source: Source | None
    u: Floats
    y: Floats
    converged: bool
    iterations: int
    change: float

    @property
    def steps(self) -> int:
        """Steps of the period."""
        return len(self.u) // 2

    @cached_property
    def x(self) -> Floats:
        """The unknowns (N, n) at the ends of the steps: at k T/N, k = 1 ... N."""
        stage = _stage(self.system, self.seconds / self.steps, self.source)
        u, y = self.u[1::2], self.y[1::2]
        flow = self.system.bank.currents(u)[0] - stage.g0 * u
        sides = y @ stage.back.T - flow @ self.system.B
        sides += _sides(self.system, self.source, slice(1, None, 2), len(u))
        return np.linalg.solve(stage.M, sides.T).T

    def volts(self, net: str) -> Floats:
        """Volts of a net (N,) at the ends of the steps. Raises KeyError for a net that is not solved."""
        row = self.system.row(net)
        return np.zeros(self.steps) if row is None else self.x[:, row]

    def currents(self) -> Floats:
        """Port amps (N, m) at the ends of the steps."""
        return self.system.bank.currents(self.u[1::2])[0]


def stage_times(seconds: float, steps: int) -> Floats:
    """Instants of the stages (2 N,): the first at GAMMA of each step, the second at its end."""
    start = np.arange(steps)[:, None] + np.array([GAMMA, 1.0])
    return (seconds / steps * start).reshape(-1)


def sine(seconds: float, steps: int, peak: float) -> Floats:
    """A sine of that period at the stages (2 N,)."""
    return peak * np.sin(2.0 * np.pi / seconds * stage_times(seconds, steps))


@record(slots=False)
class _Stage:
    """What a stage needs: M (n, n), its factors seen from ports and states, and g0 (m,)."""

    M: Floats
    back: Floats
    K: Floats
    T: Floats
    H: Floats
    L: Floats
    g0: Floats
    into_ports: Floats
    into_states: Floats


def _stage(system: System, step: float, source: Source | None) -> _Stage:
    c = 1.0 / (GAMMA * step)
    g0 = system.bank.conductances
    charge = system.Gamma @ system.D
    M = system.G + c * system.dynamic() + (system.B.T * g0) @ system.A
    side = np.zeros(system.size)
    if source is not None:
        row = system.index[source.net]
        M[row, row] += 1.0 / source.ohms
        side[row] = 1.0 / source.ohms
    back = c * system.D.T
    ports, states = system.B.shape[0], system.D.shape[0]
    solved = np.linalg.solve(M, np.concatenate([system.B.T, back, np.stack([system.b, side], axis=1)], axis=1))
    by_ports, by_states, by_sides = solved[:, :ports], solved[:, ports : ports + states], solved[:, ports + states :]
    A = system.A
    return _Stage(M, back, A @ by_ports, A @ by_states, charge @ by_states, charge @ by_ports, g0, A @ by_sides, charge @ by_sides)


def _sides(system: System, source: Source | None, stages: slice, count: int) -> Floats:
    sides = np.tile(system.b, (count, 1))
    if source is not None:
        sides[:, system.index[source.net]] += source.volts[stages] / source.ohms
    return sides


def periodic(system: System, seconds: float, source: Source | None, start: Floats, steps: int = STEPS) -> Periodic:
    """The steady state of that period. start: port volts (m,) at rest, or (2 N, m) of a nearby solution.

    Never raises for a circuit that will not converge: look at `converged`. Raises KeyError for a driven net that is not solved.
    """
    stage = _stage(system, seconds / steps, source)
    volts = np.zeros(2 * steps) if source is None else source.volts
    amplitudes = np.stack([np.ones_like(volts), volts], axis=1)
    to_ports, to_states = amplitudes @ stage.into_ports.T, amplitudes @ stage.into_states.T
    u = np.array(np.broadcast_to(start, (2 * steps, system.bank.count)), dtype=float)
    y = np.zeros((2 * steps, stage.H.shape[0]))
    change, iterations = float("inf"), 0
    with np.errstate(all="ignore"):
        while change >= TOLERANCE and iterations < ITERATIONS:
            iterations += 1
            try:
                wanted, y = _linearised(system, stage, u, to_ports, to_states)
            except np.linalg.LinAlgError:
                break
            step = wanted - u
            size = np.abs(step)
            change = float((size / (1.0 + np.abs(u))).max(initial=0.0))
            if not np.isfinite(change):
                break
            over = float((size / (FREEDOM * system.bank.limits)).max(initial=0.0))
            u = u + max(STRIDE, 1.0 / max(over, 1.0)) * step
    return Periodic(system, seconds, source, u, y, change < TOLERANCE, iterations, change)


def _linearised(system: System, stage: _Stage, u: Floats, to_ports: Floats, to_states: Floats) -> tuple[Floats, Floats]:
    """The port volts of all stages with the laws taken as straight around u, and the states before each stage."""
    amps, slopes = system.bank.currents(u)
    m, states = u.shape[1], stage.H.shape[0]
    slopes = slopes - np.diag(stage.g0)
    # amps at zero volts of the tangent: what is left of the law beside its slope
    rest = amps - stage.g0 * u - _times(slopes, u)
    left = np.eye(m) + stage.K @ slopes
    right = np.empty((len(u), m, states + 1))
    right[:, :, :states] = stage.T
    right[:, :, states] = to_ports - rest @ stage.K.T
    solved = np.linalg.solve(left, right)
    W, v = solved[:, :, :states], solved[:, :, states]
    maps = stage.H - stage.L @ (slopes @ W)
    adds = to_states - (rest + _times(slopes, v)) @ stage.L.T
    first, second = maps[0::2], maps[1::2]
    # y_1 = first y_0 + a; the second stage starts from (1 - BETA) y_0 + BETA y_1
    history = BETA * first + (1.0 - BETA) * np.eye(states)
    offset = BETA * adds[0::2]
    whole = second @ history
    added = _times(second, offset) + adds[1::2]
    starts = _closed(whole, added)
    before = np.empty((len(u), states))
    before[0::2] = starts
    before[1::2] = _times(history, starts) + offset
    return _times(W, before) + v, before


def _closed(maps: Floats, adds: Floats) -> Floats:
    """The states (N, s) before each of the affine maps (N, s, s), (N, s), where the last leads back to the first."""
    levels: list[tuple[Floats, Floats]] = [(maps, adds)]
    while len(maps) > 1:
        odd = len(maps) % 2
        last = (maps[-1:], adds[-1:]) if odd else None
        early, late = maps[0 : len(maps) - odd : 2], maps[1::2]
        if odd:
            late = late[: len(early)]
        adds = _times(late, adds[0 : len(adds) - odd : 2]) + adds[1::2][: len(early)]
        maps = late @ early
        if last is not None:
            maps, adds = np.concatenate([maps, last[0]]), np.concatenate([adds, last[1]])
        levels.append((maps, adds))
    starts = np.linalg.solve(np.eye(maps.shape[1]) - maps[0], adds[0])[None]
    for maps, adds in reversed(levels[:-1]):
        below = np.empty((len(maps), maps.shape[1]))
        below[0::2] = starts
        pairs = len(maps) // 2
        below[1::2] = _times(maps[0 : 2 * pairs : 2], starts[:pairs]) + adds[0 : 2 * pairs : 2]
        starts = below
    return starts


def _times(matrices: Floats, vectors: Floats) -> Floats:
    """Matrix times vector, sample by sample."""
    return (matrices @ vectors[..., None])[..., 0]
