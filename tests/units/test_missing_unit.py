"""A number without its unit: the cure never guesses a factor of a thousand."""

from __future__ import annotations

import pytest

from humdinger.units import UnitFault, parse_quantity


@pytest.mark.parametrize(
    ("text", "dimension", "cure"),
    [
        ("90", "current", "say which: 90 mA or 90 A"),
        ("25", "inductance", "say which: 25 mH or 25 H"),
        ("120", "time", "say which: 120 ms or 120 s"),
        ("250", "voltage", "write 250 V"),
        ("1,5 A", "current", "write the decimal with a point, and thousands without a comma"),
    ],
)
def test_cure(text: str, dimension: str, cure: str) -> None:
    found = parse_quantity(text, dimension)
    assert isinstance(found, UnitFault)
    assert found.cure == cure
