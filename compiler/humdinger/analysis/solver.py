"""DC solution of a circuit with nonlinear ports, for one sample or a whole batch.

The linear part is eliminated once, S = G'^-1 [Bt | b], and Newton runs on the m port volts alone: u + K (f(u) - g0 u) - u0 = 0 with
K = A S_B, u0 = A S_b. G' = G + Bt diag(g0) A with g0 near the ports' nominal conductance; that is exact, and without it a net fed only by
nonlinear ports (B+!) makes K about 1e12 and Newton stalls in round-off.

Steps are limited per port, all ports of a sample by one factor; after 25 iterations every third step is shortened, which breaks limit
cycles. What still fails is tried again by source stepping on the rectifiers' EMF.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .devices.softplus import Floats
from .ports import PortBank

TOLERANCE = 1e-9
ITERATIONS = 60
SHARES = (0.02, 0.05, 0.1, 0.2, 0.35, 0.5, 0.7, 0.85, 1.0)


@dataclass(frozen=True)
class PortSolution:
    """x: (s, n) unknowns; u: (s, m) port volts; per sample: converged, iterations, fallback (source stepping used), last step (s, m)."""

    x: Floats
    u: Floats
    converged: NDArray[np.bool_]
    iterations: NDArray[np.int64]
    fallback: NDArray[np.bool_]
    step: Floats


@dataclass(frozen=True)
class Reduced:
    """The linear part seen from the ports: K (s, m, m), u0 (s, m), and how x follows from the port currents."""

    K: Floats
    u0: Floats
    S_B: Floats
    S_b: Floats
    g0: Floats


def reduce_to_ports(G: Floats, A: Floats, B: Floats, b: Floats, bank: PortBank) -> Reduced:
    """Eliminate everything but the ports. G (s, n, n); A, B (m, n) or (s, m, n); b (n,) or (s, n)."""
    g0 = np.array([p.conductance for p in bank.ports])
    right = np.swapaxes(B, -1, -2)
    shifted = G + (right * g0) @ A
    sides = np.concatenate([np.broadcast_to(right, (*G.shape[:-1], len(g0))), np.broadcast_to(b, G.shape[:-1])[..., None]], axis=-1)
    solved = np.linalg.solve(shifted, sides)
    s_b, s_bias = solved[..., :-1], solved[..., -1]
    return Reduced(A @ s_b, np.einsum("...mn,...n->...m", np.broadcast_to(A, (*G.shape[:-2], *A.shape[-2:])), s_bias), s_b, s_bias, g0)


def solve_ports(G: Floats, A: Floats, B: Floats, b: Floats, bank: PortBank, start: Floats | None = None) -> PortSolution:
    """Solve G x + Bt f(A x) = b for every sample of a batch.

    G (s, n, n), or (n, n) for a batch of one; bank parameters (devices,) or (s, devices); start: (m,) or (s, m) port volts.
    Never raises for a circuit that will not converge: look at `converged`. Raises LinAlgError for a singular linear part.
    """
    batch = G if G.ndim == 3 else G[None]
    reduced = reduce_to_ports(batch, A, B, b, bank)
    samples, m = reduced.u0.shape
    initial = np.array([p.start for p in bank.ports]) if start is None else start
    u = np.array(np.broadcast_to(initial, (samples, m)), dtype=float)
    everyone = np.arange(samples)
    u, converged, iterations, step = _newton(reduced, bank, u, everyone)
    fallback = ~converged
    if fallback.any():
        failed = np.flatnonzero(fallback)
        ramp = np.zeros((len(failed), m))
        found = (ramp, converged[failed], iterations[failed], step[failed])
        for share in SHARES:
            found = _newton(reduced, bank.scaled(share), found[0], failed, share)
        u[failed], converged[failed], step[failed] = found[0], found[1], found[3]
        iterations[failed] += found[2]
    amps, _ = bank.currents(u)
    x = reduced.S_b - np.einsum("snm,sm->sn", reduced.S_B, amps - reduced.g0 * u)
    return PortSolution(x, u, converged, iterations, fallback, step)


def _newton(
    reduced: Reduced, bank: PortBank, start: Floats, samples: NDArray[np.int64], share: float = 1.0
) -> tuple[Floats, NDArray[np.bool_], NDArray[np.int64], Floats]:
    """Newton on the ports of the given samples; returns volts, converged, iterations, last step."""
    m = start.shape[1]
    limits = np.array([p.limit for p in bank.ports])
    u, last = start.copy(), np.zeros_like(start)
    converged = np.zeros(len(samples), dtype=bool)
    count = np.zeros(len(samples), dtype=np.int64)
    active = np.arange(len(samples))
    identity = np.eye(m)
    if m == 0:
        return u, ~converged, count, last
    for iteration in range(1, ITERATIONS + 1):
        rows = samples[active]
        here = u[active]
        amps, slopes = bank.select(rows).currents(here)
        K = reduced.K[rows]
        slopes[:, np.arange(m), np.arange(m)] -= reduced.g0
        residual = here + np.einsum("smk,sk->sm", K, amps - reduced.g0 * here) - share * reduced.u0[rows]
        step = -np.linalg.solve(identity + K @ slopes, residual[..., None])[..., 0]
        with np.errstate(divide="ignore"):
            alpha = np.minimum(1.0, np.min(limits / np.abs(step), axis=1))
        full = alpha >= 1.0
        if iteration > 25 and iteration % 3 == 0:
            alpha = alpha * 0.35
        here = here + alpha[:, None] * step
        u[active], last[active], count[active] = here, step, iteration
        done = full & (np.max(np.abs(step) / (1.0 + np.abs(here)), axis=1) < TOLERANCE)
        converged[active[done]] = True
        active = active[~done]
        if not len(active):
            break
    return u, converged, count, last
