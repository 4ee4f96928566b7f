"""DC solution of a circuit with nonlinear ports, for one sample or a whole batch.

The linear part is eliminated once, S = G'^-1 [Bt | b], and Newton runs on the m port volts alone: u + K (f(u) - g0 u) - u0 = 0 with
K = A S_B, u0 = A S_b. G' = G + Bt diag(g0) A with g0 near the ports' nominal conductance; that is exact, and without it a net fed only by
nonlinear ports (B+!) makes K about 1e12 and Newton stalls in round-off.

Steps are limited per port, all ports of a sample by one factor; after 25 iterations every third step is shortened, which breaks limit
cycles. What still fails is let settle from cold as the amp itself does: with a capacitor across every port and time going on in ever
longer steps (backward Euler), until the capacitors no longer matter; Newton then starts from there.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..records import record
from .devices.softplus import Floats
from .ports import PortBank

TOLERANCE = 1e-6
"""Last step over 1 + |volts|. What is left after it is of the order of its square; measured on the demos: 1e-11 at most."""
ITERATIONS = 60
SETTLING_STEPS = 120
SETTLING_ITERATIONS = 15
SETTLED = 1e-6
FREEDOM = 0.3
FIRST_STEP, LAST_STEP, STEEPEST = 1.0, 1e-10, 1e12
"""Siemens of a settling capacitor (C over the time step) as shares of the port's nominal conductance."""


@record(slots=False)
class PortSolution:
    """x: (s, n) unknowns; u: (s, m) port volts; per sample: converged, iterations, fallback (it had to settle), last step (s, m)."""

    x: Floats
    u: Floats
    converged: NDArray[np.bool_]
    iterations: NDArray[np.int64]
    fallback: NDArray[np.bool_]
    step: Floats


@record(slots=False)
class Reduced:
    """The linear part seen from the ports: K (s, m, m), u0 (s, m), and how x follows from the port currents."""

    K: Floats
    u0: Floats
    S_B: Floats
    S_b: Floats
    g0: Floats


def reduce_to_ports(G: Floats, A: Floats, B: Floats, b: Floats, bank: PortBank) -> Reduced:
    """Eliminate everything but the ports. G (s, n, n); A, B (m, n) or (s, m, n); b (n,) or (s, n)."""
    g0 = bank.conductances
    right = np.swapaxes(B, -1, -2)
    shifted = G + (right * g0) @ A
    sides = np.concatenate([np.broadcast_to(right, (*G.shape[:-1], len(g0))), np.broadcast_to(b, G.shape[:-1])[..., None]], axis=-1)
    solved = np.linalg.solve(shifted, sides)
    s_b, s_bias = solved[..., :-1], solved[..., -1]
    return Reduced(A @ s_b, _times(A, s_bias), s_b, s_bias, g0)


def solve_ports(G: Floats, A: Floats, B: Floats, b: Floats, bank: PortBank, start: Floats | None = None) -> PortSolution:
    """Solve G x + Bt f(A x) = b for every sample of a batch.

    G (s, n, n), or (n, n) where all samples share it; bank parameters (devices,) or (s, devices); start: (m,) or (s, m) port volts.
    Never raises for a circuit that will not converge: look at `converged`. Raises LinAlgError for a singular linear part.
    """
    batch = G if G.ndim == 3 else G[None]
    # a circuit far from any solution overflows on its way; that is seen by its not converging
    with np.errstate(all="ignore"):
        reduced = reduce_to_ports(batch, A, B, b, bank)
        initial = bank.starts if start is None else start
        u = np.array(np.broadcast_arrays(initial, reduced.u0)[0], dtype=float)
        u, i, converged, iterations, step = _newton(reduced, bank, u, np.arange(len(u)))
        fallback = ~converged
        if fallback.any():
            failed = np.flatnonzero(fallback)
            settled, more = zip(
                *(_settled(reduced, bank.select(failed[k : k + 1]), int(failed[k])) for k in range(len(failed))), strict=True
            )
            u[failed], i[failed], converged[failed], last, step[failed] = _newton(reduced, bank, np.stack(settled), failed)
            iterations[failed] += np.array(more) + last
        x = reduced.S_b - _times(reduced.S_B, i - reduced.g0 * u)
        return PortSolution(x, u, converged, iterations, fallback, step)


def _settled(reduced: Reduced, ports: PortBank, sample: int) -> tuple[Floats, int]:
    """Port volts (m,) of one sample after settling from cold, and the iterations it took.

    It is tried once more from where Newton begins; where that gets stuck too, the volts are those it got to.
    """
    K, u0 = (v[sample if len(v) > 1 else 0] for v in (reduced.K, reduced.u0))
    total = 0
    volts = np.zeros_like(u0)
    for start in (volts, ports.starts):
        volts, taken, settled = _settle(K, u0, reduced.g0, ports, start)
        total += taken
        if settled:
            break
    return volts, total


def _settle(K: Floats, u0: Floats, g0: Floats, ports: PortBank, volts: Floats) -> tuple[Floats, int, bool]:
    """Capacitors across the ports and backward Euler: a time step five times longer after each that is found, ten times shorter else."""
    share, total = FIRST_STEP, 0
    for _ in range(SETTLING_STEPS):
        found, taken = _euler_step(K, u0, g0, ports, volts, share * g0)
        total += taken
        if found is not None:
            volts, share = found, 0.2 * share
            if share < LAST_STEP:
                return volts, total, True
        else:
            share *= 10.0
            if share > STEEPEST:
                break
    return volts, total, False


def _euler_step(K: Floats, u0: Floats, g0: Floats, ports: PortBank, before: Floats, charge: Floats) -> tuple[Floats | None, int]:
    """Port volts one time step later, None where Newton does not find them, and the iterations it took. charge: C over the step (m,)."""
    identity, here = np.eye(len(u0)), before
    for iteration in range(1, SETTLING_ITERATIONS + 1):
        amps, slopes = (v[0] for v in ports.currents(here[None]))
        residual = here + K @ (amps + charge * (here - before) - g0 * here) - u0
        try:
            step = -np.linalg.solve(identity + K @ (slopes + np.diag(charge - g0)), residual)
        except np.linalg.LinAlgError:
            return None, iteration
        # what stands at hundreds of volts may move by hundreds
        over = max(float((np.abs(step) / (ports.limits + FREEDOM * np.abs(here))).max(initial=0.0)), 1.0)
        here = here + step / over
        if not np.all(np.isfinite(here)):
            return None, iteration
        if over == 1.0 and np.all(np.abs(step) < SETTLED * (1.0 + np.abs(here))):
            return here, iteration
    return None, SETTLING_ITERATIONS


def _newton(
    reduced: Reduced, bank: PortBank, start: Floats, samples: NDArray[np.int64]
) -> tuple[Floats, Floats, NDArray[np.bool_], NDArray[np.int64], Floats]:
    """Newton on the ports of the given samples; returns volts, amps, converged, iterations, last step.

    The amps are carried along the last step by the slopes, which on a converged sample is exact to the square of the tolerance.
    """
    u, last, flow = start.copy(), np.zeros_like(start), np.zeros_like(start)
    converged = np.zeros(len(samples), dtype=bool)
    count = np.zeros(len(samples), dtype=np.int64)
    active = np.arange(len(samples))
    identity, shift = np.eye(start.shape[1]), np.diag(reduced.g0)
    ports, here = bank.select(samples), start
    K, u0 = (v if len(v) == 1 else v[samples] for v in (reduced.K, reduced.u0))
    for iteration in range(1, ITERATIONS + 1):
        amps, slopes = ports.currents(here)
        residual = here + _times(K, amps - reduced.g0 * here) - u0
        step = -np.linalg.solve(identity + K @ (slopes - shift), residual[..., None])[..., 0]
        size = np.abs(step)
        # the factor by which the worst port of each sample would overstep
        over = np.maximum((size / bank.limits).max(axis=1, initial=0.0), 1.0)
        alpha = 1.0 / over
        if iteration > 25 and iteration % 3 == 0:
            alpha = alpha * 0.35
        moved = alpha[:, None] * step
        here = here + moved
        u[active], last[active], count[active] = here, step, iteration
        flow[active] = amps + _times(slopes, moved)
        done = (alpha == 1.0) & ((size / (1.0 + np.abs(here))).max(axis=1, initial=0.0) < TOLERANCE)
        if done.any():
            converged[active[done]] = True
            active = active[~done]
            if not len(active):
                break
            here, ports = here[~done], bank.select(samples[active])
            K, u0 = (v if len(v) == 1 else v[~done] for v in (K, u0))
    return u, flow, converged, count, last


def _times(matrices: Floats, vectors: Floats) -> Floats:
    """Matrix times vector, sample by sample."""
    return (matrices @ vectors[..., None])[..., 0]
