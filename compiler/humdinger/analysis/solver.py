"""DC solution of a circuit with nonlinear ports, for one sample or a whole batch.

The linear part is eliminated once, S = G'^-1 [Bt | b], and Newton runs on the m port volts alone: u + K (f(u) - g0 u) - u0 = 0 with
K = A S_B, u0 = A S_b. G' = G + Bt diag(g0) A with g0 near the ports' nominal conductance; that is exact, and without it a net fed only by
nonlinear ports (B+!) makes K about 1e12 and Newton stalls in round-off.

Steps are limited per port, all ports of a sample by one factor; after 25 iterations every third step is shortened, which breaks limit
cycles. What still fails is tried again by source stepping on the rectifiers' EMF.
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
SHARES = (0.02, 0.05, 0.1, 0.2, 0.35, 0.5, 0.7, 0.85, 1.0)


@record(slots=False)
class PortSolution:
    """x: (s, n) unknowns; u: (s, m) port volts; per sample: converged, iterations, fallback (source stepping used), last step (s, m)."""

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
        samples, m = u.shape
        everyone = np.arange(samples)
        u, i, converged, iterations, step = _newton(reduced, bank, u, everyone)
        fallback = ~converged
        if fallback.any():
            failed = np.flatnonzero(fallback)
            ramp = np.zeros((len(failed), m))
            for share in SHARES:
                ramp, i[failed], converged[failed], more, step[failed] = _newton(reduced, bank.scaled(share), ramp, failed, share)
                iterations[failed] += more
            u[failed] = ramp
        x = reduced.S_b - _times(reduced.S_B, i - reduced.g0 * u)
        return PortSolution(x, u, converged, iterations, fallback, step)


def _newton(
    reduced: Reduced, bank: PortBank, start: Floats, samples: NDArray[np.int64], share: float = 1.0
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
    K, u0 = (v if len(v) == 1 else v[samples] for v in (reduced.K, share * reduced.u0))
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
