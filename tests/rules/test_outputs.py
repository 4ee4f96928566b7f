"""What the rules make of triode-connected and ultralinear output tubes, and of capacitors in series: both sides of each bound."""

from __future__ import annotations

import pytest

from support.amps import changed, demo_text, run
from support.outputs import connected, stacked


def found(amp: str, code: str, changes: dict[str, str]) -> set[str]:
    """Severities of the findings of a rule."""
    return {d.severity.name for d in run(changed(demo_text(amp), changes)).diagnostics if d.code == code}


@pytest.mark.parametrize(("connection", "expected"), [("triode", "WARNING"), ("ultralinear", "ERROR"), ("pentode", "ERROR")])
def test_an_empty_jack_is_less_of_a_danger_to_triodes_only(connection: str, expected: str):
    """A screen on a tap still leaves a pentode's high plate resistance."""
    changes = {} if connection == "pentode" else connected(connection)
    assert found("curlew", "OTX-009", changes | {"speaker/load_resistor": "~"}) == {expected}
    assert found("curlew", "OTX-009", changes) == set()


@pytest.mark.parametrize("connection", ["triode", "ultralinear"])
def test_screens_on_plates_and_taps_want_their_stoppers_too(connection: str):
    assert found("curlew", "RES-004", connected(connection, screen_stopper="47 1W flameproof")) == {"WARNING"}
    assert found("curlew", "RES-004", connected(connection, screen_stopper="100 1W flameproof")) == set()


@pytest.mark.parametrize(("microfarads", "expected"), [("100u", set()), ("150u", {"ERROR"})])
def test_a_rectifier_tube_charges_the_series_of_its_first_capacitors(microfarads: str, expected: set[str]):
    """GZ34, 60 µF at most: two of 100 µF in series are 50, two of 150 µF are 75."""
    capacitor = f"{{value: {microfarads}, rating: 350 V, ripple: 500 mA}}"
    assert found("heron", "REC-004", stacked(capacitor=capacitor)) == expected


def test_the_centre_tap_returns_to_the_foot_of_the_series():
    """The lower capacitor's minus is the reservoir's; the joint between the two is not."""
    outcomes = found("heron", "REC-008", stacked())
    assert outcomes <= {"INFO"}
