"""Pot tapers. Sources: 10 % at half rotation is common practice; the ends follow from the track's own end resistance."""

from __future__ import annotations

import pytest

from humdinger.units import track_fraction


def test_half_rotation() -> None:
    assert track_fraction("linear", 0.5) == 0.5
    assert track_fraction("audio", 0.5) == pytest.approx(0.1, rel=1e-12)
    assert track_fraction("reverse-audio", 0.5) == pytest.approx(0.9, rel=1e-12)


@pytest.mark.parametrize("taper", ["linear", "audio", "reverse-audio"])
def test_the_ends_keep_a_ten_thousandth(taper: str) -> None:
    assert track_fraction(taper, 0.0) == track_fraction(taper, -1.0) == 1e-4
    assert track_fraction(taper, 1.0) == track_fraction(taper, 2.0) == 1 - 1e-4


@pytest.mark.parametrize("rotation", [0.1, 0.25, 0.4, 0.6, 0.9])
def test_reverse_audio_is_audio_from_the_other_end(rotation: float) -> None:
    assert track_fraction("reverse-audio", rotation) == pytest.approx(1 - track_fraction("audio", 1 - rotation), rel=1e-12)


def test_the_audio_taper_lies_near_two_straight_slopes() -> None:
    # A two-slope track has 5 % at a quarter and 55 % at three quarters; the exponential has 2.5 % and 32.5 %. The
    # difference is the known price of a law without a corner: at most 0.225 of the track, below the middle only 0.026.
    assert track_fraction("audio", 0.25) == pytest.approx(0.025, abs=1e-12)
    assert track_fraction("audio", 0.75) == pytest.approx(0.325, abs=1e-12)


def test_an_unknown_taper_is_an_error() -> None:
    with pytest.raises(ValueError, match="log"):
        track_fraction("log", 0.5)
