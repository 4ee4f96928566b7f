"""Findings read as a person writes: three digits, nothing smaller than a meter shows, and a limit never looks like the value beyond it."""

from __future__ import annotations

import re

import pytest

from humdinger.rules.printed import say_amps, say_ohms, say_ripple, say_volt_amps, say_volts, say_watts
from support.manuals import DEMO_NAMES, manual


@pytest.mark.parametrize(
    ("shown", "expected"),
    [
        (say_volts(3.05e-9), "0 V"),
        (say_volts(0.0123), "12.3 mV"),
        (say_volts(5.072), "5.07 V"),
        (say_ripple(3.71e-6), "less than 0.1 mV"),
        (say_ripple(2.402e-3), "2.4 mV"),
        (say_amps(0.993e-12), "0 A"),
        (say_amps(2.4515), "2.45 A"),
        (say_amps(3.0004, 3.0), "3.0004 A"),
        (say_ohms(1.0022e6, 1e6), "1.002 MΩ"),
        (say_ohms(1.047e6, 2e6), "1.05 MΩ"),
        (say_watts(4.06e-6), "0 W"),
        (say_volt_amps(5.3312), "5.33 VA"),
    ],
)
def test_numbers(shown: str, expected: str) -> None:
    assert shown == expected


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_no_demo_speaks_of_nanovolts_or_of_four_digits(name: str) -> None:
    findings = manual(name)[0].findings
    assert findings is not None
    for judged in findings.judged:
        for text in (judged.outcome.message, judged.outcome.equation):
            assert not re.search(r"\d [nµp]V\b|\d p[AW]\b", text), (judged.rule.code, text)
            assert "e+" not in text, (judged.rule.code, text)
            if judged.rule.code in ("JCK-004", "RES-002", "NOI-001", "STB-002", "HTR-001", "HTR-002", "TUB-010", "CAP-007"):
                for number in re.findall(r"(?<![\w.])\d[\d.]*", text):
                    assert len(number.replace(".", "").strip("0")) <= 3, (judged.rule.code, text)
