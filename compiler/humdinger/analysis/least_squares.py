"""Least squares of a handful of parameters, by Levenberg and Marquardt, with lower bounds.

The damping follows K. Levenberg 1944 and D. W. Marquardt 1963 (from memory): solve (JtJ + lambda D) step = -Jt r, with D the diagonal of
JtJ, a smaller lambda after a step that helps, a larger one after a step that does not. A parameter on its bound that the slope pushes
outwards sits still for that step. tests/analysis/test_least_squares.py compares it with scipy, which the compiler does not need for it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from ..records import record

STEP = 1e-6
"""Of the forward difference, in units of a parameter's scale: about the square root of what a float resolves, with some room."""

SMALLEST_DAMPING, LARGEST_DAMPING = 1e-12, 1e12


@record
class Solution:
    """x: the parameters; cost: half the sum of squares; steps: how many were tried; settled: whether it ended by itself."""

    x: tuple[float, ...]
    cost: float
    steps: int
    settled: bool


def least_squares(
    residuals: Callable[[Sequence[float]], Sequence[float]],
    start: Sequence[float],
    low: Sequence[float],
    scale: Sequence[float],
    *,
    tolerance: float = 1e-10,
    most: int = 400,
) -> Solution:
    """The parameters at which the sum of squared residuals is least, near the start.

    low: the least value of each, -inf for none. scale: by how much each usually moves. Ends when a step promises and brings less than
    `tolerance` of the cost, or after `most` steps.
    """
    with np.errstate(over="ignore", invalid="ignore"):  # a step too far gives no number, which is no improvement
        return _descend(residuals, start, low, scale, tolerance, most)


def _descend(
    residuals: Callable[[Sequence[float]], Sequence[float]],
    start: Sequence[float],
    low: Sequence[float],
    scale: Sequence[float],
    tolerance: float,
    most: int,
) -> Solution:
    bounds, sizes = np.asarray(low, dtype=float), np.asarray(scale, dtype=float)
    x = np.maximum(np.asarray(start, dtype=float), bounds)
    r = np.asarray(residuals(x.tolist()), dtype=float)
    cost, damping = 0.5 * float(r @ r), 1e-3
    jacobian = _slopes(residuals, x, r, sizes)
    for tried in range(1, most + 1):
        gradient = jacobian.T @ r
        free = ~((x <= bounds) & (gradient > 0.0))
        if not free.any():
            return Solution(tuple(x.tolist()), cost, tried, True)
        j = jacobian[:, free]
        normal = j.T @ j
        weight = np.diag(np.maximum(np.diag(normal), 1e-30))
        step = np.zeros_like(x)
        step[free] = np.linalg.lstsq(normal + damping * weight, -gradient[free], rcond=None)[0]
        new = np.maximum(x + step, bounds)
        fresh = np.asarray(residuals(new.tolist()), dtype=float)
        found = 0.5 * float(fresh @ fresh)
        moved = new - x
        promised = -(gradient @ moved + 0.5 * float(np.sum((jacobian @ moved) ** 2)))
        if found < cost:
            gained, x, r, cost = cost - found, new, fresh, found
            damping = max(damping / 5.0, SMALLEST_DAMPING)
            if gained <= tolerance * max(cost, 1e-30) and promised <= tolerance * max(cost, 1e-30):
                return Solution(tuple(x.tolist()), cost, tried, True)
            jacobian = _slopes(residuals, x, r, sizes)
        else:
            if promised <= tolerance * max(cost, 1e-30):
                return Solution(tuple(x.tolist()), cost, tried, True)
            damping *= 4.0
            if damping > LARGEST_DAMPING:
                return Solution(tuple(x.tolist()), cost, tried, True)
    return Solution(tuple(x.tolist()), cost, most, False)


def _slopes(residuals: Callable[[Sequence[float]], Sequence[float]], x: np.ndarray, r: np.ndarray, sizes: np.ndarray) -> np.ndarray:
    found = np.empty((r.size, x.size))
    for k in range(x.size):
        step = STEP * max(sizes[k], 1e-9)
        moved = x.copy()
        moved[k] += step
        found[:, k] = (np.asarray(residuals(moved.tolist()), dtype=float) - r) / step
    return found
