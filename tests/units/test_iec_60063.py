"""IEC 60063 preferred numbers, against the series in checks.md 8.1 to 8.6 (read on qsl.net/g4usp; E96 rows partly by rule)."""

from __future__ import annotations

import pytest

from humdinger.units import (
    is_preferred,
    nearest_preferred,
    next_preferred,
    preferred_at_least,
    preferred_at_most,
    preferred_values,
    previous_preferred,
)

E6 = (10, 15, 22, 33, 47, 68)
E12 = (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82)
E24_ADDS = (11, 13, 16, 20, 24, 30, 36, 43, 51, 62, 75, 91)
E48 = (
    100, 105, 110, 115, 121, 127, 133, 140, 147, 154, 162, 169, 178, 187, 196, 205, 215, 226, 237, 249, 261, 274, 287, 301,
    316, 332, 348, 365, 383, 402, 422, 442, 464, 487, 511, 536, 562, 590, 619, 649, 681, 715, 750, 787, 825, 866, 909, 953,
)  # fmt: skip


def test_the_series_as_listed() -> None:
    assert preferred_values("E6") == E6
    assert preferred_values("E12") == E12
    assert preferred_values("E24") == tuple(sorted(E12 + E24_ADDS))
    assert preferred_values("E48") == E48


def test_e96_rows_that_were_read() -> None:
    e96 = preferred_values("E96")
    assert e96[:8] == (100, 102, 105, 107, 110, 113, 115, 118)
    assert e96[-1] == 976
    assert len(e96) == 96
    assert set(E48) <= set(e96)


def test_eight_values_of_e24_are_not_what_the_rule_gives() -> None:
    # checks.md 8.6: the count was read (twiki mirror of Wikipedia's E series), the list derived.
    rule = [round(10 ** (1 + n / 24)) for n in range(24)]
    differ = [value for value, by_rule in zip(preferred_values("E24"), rule, strict=True) if value != by_rule]
    assert differ == [27, 30, 33, 36, 39, 43, 47, 82]


def test_an_unknown_series_is_an_error() -> None:
    with pytest.raises(ValueError, match="E25"):
        preferred_values("E25")


@pytest.mark.parametrize(
    ("value", "series", "nearest"),
    [
        (46.2e3, "E12", 47e3),
        (52, "E12", 56),
        (1.05e6, "E12", 1e6),
        (9.6, "E12", 10),
        (0.95, "E24", 0.91),
        (4.9e3, "E96", 4.87e3),
        (98.9, "E96", 100),
    ],
)
def test_nearest_is_by_ratio(value: float, series: str, nearest: float) -> None:
    assert nearest_preferred(value, series) == nearest


def test_52_lies_nearer_to_56_by_ratio_but_as_near_by_difference() -> None:
    # 47 -> 52 is +10.6 %, 52 -> 56 is +7.7 %; differences are 5 and 4. 51.4 is where the two rules part.
    assert nearest_preferred(51.4, "E12") == 56  # ratio: 51.4/47 = 1.0936, 56/51.4 = 1.0895
    assert 51.4 - 47 < 56 - 51.4


def test_steps_up_and_down_cross_decades() -> None:
    assert next_preferred(9.1) == 10
    assert previous_preferred(1000) == 910
    assert next_preferred(976, "E96") == 1000
    assert preferred_at_least(4700) == 4700
    assert preferred_at_least(4701) == 5100
    assert preferred_at_most(4699) == 4300
    assert preferred_at_most(4700) == 4700


def test_membership_survives_float_arithmetic() -> None:
    assert is_preferred(0.1 * 47)
    assert is_preferred(22e-9, "E6")
    assert not is_preferred(4.8)
    assert not is_preferred(0.0)


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_no_preferred_value_of_nothing(value: float) -> None:
    with pytest.raises(ValueError, match="no preferred"):
        nearest_preferred(value)
