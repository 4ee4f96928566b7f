"""How far a cathode moves at full drive: in proportion while the tube can follow, and no further than its resistors let it."""

from __future__ import annotations

import pytest

from humdinger.analysis.drive import cathode_swing, drive
from humdinger.analysis.smallsignal import linearise
from humdinger.analysis.study import Study, study
from humdinger.analysis.variants import short, solve_variants
from support.amps import changed, demo_text
from support.signal_amps import netlist_of
from support.tones import MASTER, with_stage


def amp(name: str, at: int, master: str) -> Study:
    text = demo_text(name)
    return study(netlist_of(changed(text, with_stage(text, at, MASTER) | {"controls/MASTER": master})))


def proportion(found: Study, section: str) -> float:
    at = drive(found, linearise(found.solved["nominal"]))
    assert at is not None
    return abs(at.volts[found.netlist.by_section[section].cathode]) * at.full


def swing(found: Study) -> dict[str, float]:
    return dict(cathode_swing(found, drive(found, linearise(found.solved["nominal"]))))


@pytest.mark.parametrize(("name", "at", "sections"), [("heron", 7, ("V2a", "V2b")), ("curlew", 6, ("V3a", "V3b"))])
def test_a_master_that_is_up_leaves_the_proportion(name: str, at: int, sections: tuple[str, ...]) -> None:
    found = amp(name, at, "10")
    for section in sections:
        assert swing(found)[section] == proportion(found, section)


def test_a_master_that_is_down_asks_for_no_more_than_there_is() -> None:
    """Heron's cathodyne: by proportion thousands of volts; the end is what a short from plate to cathode leaves, and a little more, since
    B+ itself sags under the short while the end is reckoned from the idle B+."""
    found = amp("heron", 7, "1")
    section = found.netlist.by_section["V2b"]
    assert proportion(found, "V2b") > 1000.0
    (shorted,) = solve_variants(found.solved["nominal"], [(short(section.plate, section.cathode),)])
    here = found.nominal.volts[section.cathode]
    assert shorted.good
    assert shorted.volts(section.cathode) - here <= swing(found)["V2b"] < 1.1 * (shorted.volts(section.cathode) - here)


@pytest.mark.parametrize(("name", "at"), [("heron", 7), ("curlew", 6)])
def test_the_end_is_never_too_near(name: str, at: int) -> None:
    """No section may go further with its plate shorted to its cathode, or with its tube cut off, than the end says."""
    found = amp(name, at, "0.1")
    moves = swing(found)
    for section in found.netlist.sections:
        if section.unused or proportion(found, section.ref) < 100.0:
            continue
        (shorted,) = solve_variants(found.solved["nominal"], [(short(section.plate, section.cathode),)])
        here = found.nominal.volts[section.cathode]
        assert moves[section.ref] >= max(shorted.volts(section.cathode) - here, here)
