"""A fuse and a switch in one lead of the B+ supply: the same volts as with either alone, wherever they stand."""

from __future__ import annotations

import pytest

from humdinger.compile import solved
from support.amps import changed, demo_text
from support.front import PATH, world

FUSE = "{rating: T 400mA 500V, where: %s}"
SWITCH = "{where: %s, rating: 250 V 3 A, dc_rating: 600 V}"


def b_plus(fuse: str, switch: str) -> float:
    changes = {"supply/ht_fuse": FUSE % fuse if fuse else "~", "supply/standby": SWITCH % switch if switch else "~"}
    made = solved(world(changed(demo_text("heron"), changes)), PATH)
    assert made.results is not None, [d.message for d in made.diagnostics]
    return made.results.nominal.volts["B1"]


@pytest.mark.parametrize("place", ["centre-tap", "before-reservoir", "after-reservoir"])
def test_contacts_in_series_drop_nothing(place: str) -> None:
    """Each is 1 mΩ: of some hundred milliamps that is under a millivolt."""
    bare = b_plus("", "")
    assert bare > 300.0
    assert b_plus(place, place) == pytest.approx(bare, abs=2e-3)
    assert b_plus(place, "") == pytest.approx(bare, abs=2e-3)
