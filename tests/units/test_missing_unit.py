"""A number without its unit: the cure never guesses a factor of a thousand."""

from __future__ import annotations

import pytest

from humdinger.units import UnitFault, parse_quantity


@pytest.mark.parametrize(
    ("text", "dimension", "cure"),
    [
        ("90", "current", "a current needs its unit: 90 mA or 90 A?"),
        ("25", "inductance", "an inductance needs its unit: 25 mH or 25 H?"),
        ("120", "time", "a time needs its unit: 120 ms or 120 s?"),
        ("250", "voltage", "write 250 V"),
        ("1,5 A", "current", "write 1.5 A, with a decimal point"),
        ("4,7k", "resistance", "write 4.7k, with a decimal point"),
        ("1,000 V", "voltage", "write 1.000 V, with a decimal point; or 1000 V if thousands are meant"),
        ("1,000,000", "resistance", "write the decimal with a point, and thousands without a comma"),
    ],
)
def test_cure(text: str, dimension: str, cure: str) -> None:
    found = parse_quantity(text, dimension)
    assert isinstance(found, UnitFault)
    assert found.cure == cure
