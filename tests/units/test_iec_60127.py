"""IEC 60127 fuses: rated currents and letters, against checks.md 8.13 and 8.14 (both from memory there)."""

from __future__ import annotations

import pytest

from humdinger.units import FUSE_AMPS, FuseRating, UnitFault, fuse_at_least, is_fuse_current, nearest_fuse, parse_fuse

MILLIAMPS = [32, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800]
AMPS = [1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8, 10]


def test_rated_currents() -> None:
    assert list(FUSE_AMPS) == [m / 1000 for m in MILLIAMPS] + AMPS


def test_rated_currents_follow_the_renard_series_r10() -> None:
    # R10 is 10^(n/10); the coarsest rounding in the list is 32 for 31.6 mA, 1.2 %; 1.6 for 1.585 is 0.9 %.
    for n, rated in enumerate(FUSE_AMPS):
        assert rated == pytest.approx(0.1 * 10 ** ((n - 5) / 10), rel=0.0125)


def test_choosing_a_fuse() -> None:
    assert fuse_at_least(0.5) == 0.5
    assert fuse_at_least(0.501) == 0.63
    assert fuse_at_least(10.1) is None
    assert nearest_fuse(0.55) == 0.5
    assert is_fuse_current(0.63)
    assert not is_fuse_current(0.55)


@pytest.mark.parametrize(
    ("text", "rating"),
    [
        ("T 500mA H 250V", FuseRating("T", 0.5, "H", 250.0)),
        ("T 500 mA H 250 V", FuseRating("T", 0.5, "H", 250.0)),
        ("T500mAH250V", FuseRating("T", 0.5, "H", 250.0)),
        ("T1.6AL250V", FuseRating("T", 1.6, "L", 250.0)),
        ("250V T H 1.25A", FuseRating("T", 1.25, "H", 250.0)),
        ("T 400mA 500V", FuseRating("T", 0.4, "", 500.0)),
        ("FF 2A", FuseRating("FF", 2.0)),
        ("F 100mA", FuseRating("F", 0.1)),
        ("M 3.15A E 250V", FuseRating("M", 3.15, "E", 250.0)),
        ("TT 630mA", FuseRating("TT", 0.63)),
    ],
)
def test_markings_are_read(text: str, rating: FuseRating) -> None:
    assert parse_fuse(text) == rating


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("500mA", "how fast"),
        ("T", "how much"),
        ("slow 500mA", "'slow'"),
        ("T 500mA T", "twice"),
        ("T 500mA 250V 250V", "twice"),
        ("T 0A", "nothing"),
        ("T 500MA", "prefix M"),
        ("", "how much"),
    ],
)
def test_what_is_no_fuse(text: str, part: str) -> None:
    fault = parse_fuse(text)
    assert isinstance(fault, UnitFault)
    assert part in fault.reason
