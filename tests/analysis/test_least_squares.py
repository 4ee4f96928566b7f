"""Our own least squares against scipy's on the same problems, and against answers known in advance."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
import scipy.optimize

from humdinger.analysis.least_squares import least_squares

FREE = (-math.inf, -math.inf)


def test_a_straight_line_is_the_textbook_s() -> None:
    """y = a + b x by the normal equations, which have a closed form: Anscombe's first set (1973, from memory) gives a = 3.00, b = 0.500."""
    x = [10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5]
    y = [8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68]
    found = least_squares(lambda p: [p[0] + p[1] * a - b for a, b in zip(x, y, strict=True)], (0.0, 0.0), FREE, (1.0, 1.0))
    assert found.settled
    assert found.x == pytest.approx(np.polyfit(x, y, 1)[::-1], abs=1e-6)
    assert found.x == pytest.approx((3.00, 0.500), abs=0.001)


def test_the_curved_valley() -> None:
    """Rosenbrock's function (1960, from memory): its least value is 0 at (1, 1), at the end of a bent valley."""
    found = least_squares(lambda p: [10.0 * (p[1] - p[0] ** 2), 1.0 - p[0]], (-1.2, 1.0), FREE, (1.0, 1.0))
    assert found.x == pytest.approx((1.0, 1.0), abs=1e-5)


def test_a_bound_holds_and_the_rest_is_as_good_as_it_can_be() -> None:
    """(a + 3)² + (a + b - 1)² with a not below 0: a sits on its bound, b makes up for it."""
    found = least_squares(lambda p: [p[0] + 3.0, p[0] + p[1] - 1.0], (2.0, 5.0), (0.0, -math.inf), (1.0, 1.0))
    assert found.x == pytest.approx((0.0, 1.0), abs=1e-6)
    again = scipy.optimize.least_squares(lambda p: [p[0] + 3.0, p[0] + p[1] - 1.0], (2.0, 5.0), bounds=([0.0, -np.inf], np.inf))
    assert found.x == pytest.approx(again.x, abs=1e-5)


@pytest.mark.parametrize("seed", range(20))
def test_decays_with_noise_against_scipy(seed: int) -> None:
    """a exp(-b t) + c through noisy samples: the same sum of squares as scipy's, to a part in a million."""
    source = np.random.default_rng(seed)
    t = np.linspace(0.0, 5.0, 40)
    y = 3.0 * np.exp(-0.8 * t) + 0.4 + 0.05 * source.standard_normal(t.size)

    def residuals(p: Sequence[float]) -> list[float]:
        return (p[0] * np.exp(-p[1] * t) + p[2] - y).tolist()

    start, low = (1.0, 1.0, 0.0), (0.0, 0.0, -math.inf)
    ours = least_squares(residuals, start, low, (1.0, 1.0, 1.0))
    theirs = scipy.optimize.least_squares(residuals, start, bounds=(low, np.inf), xtol=1e-12, ftol=1e-12, gtol=1e-12)
    assert ours.settled
    assert ours.cost <= theirs.cost * (1.0 + 1e-6)
    assert ours.x == pytest.approx(theirs.x, rel=1e-3)


def test_it_says_when_it_did_not_settle() -> None:
    found = least_squares(lambda p: [10.0 * (p[1] - p[0] ** 2), 1.0 - p[0]], (-1.2, 1.0), FREE, (1.0, 1.0), most=3)
    assert not found.settled
    assert found.steps == 3
