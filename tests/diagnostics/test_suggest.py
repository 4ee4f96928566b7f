"""The nearest known word: near slips found, far ones left alone, the same answer whatever the order."""

from __future__ import annotations

import pytest

from humdinger.diagnostics import nearest, nearest_all
from humdinger.diagnostics.suggest import distance

KEYS = ("plate_load", "cathode_resistor", "cathode_bypass", "coupling", "grid_leak", "grid_stopper", "supply", "tube", "stage", "id")
TUBES = ("12AX7", "12AY7", "12AT7", "12AU7", "EL84", "EL34", "6V6GT", "6SL7GT", "GZ34")


@pytest.mark.parametrize(
    ("word", "known", "answer"),
    [
        ("plate-load", KEYS, "plate_load"),
        ("plateload", KEYS, "plate_load"),
        ("palte_load", KEYS, "plate_load"),
        ("cathode_resister", KEYS, "cathode_resistor"),
        ("gridleak", KEYS, "grid_leak"),
        ("supplly", KEYS, "supply"),
        ("Tube", KEYS, "tube"),
        ("12ax7", TUBES, "12AX7"),
        ("EL48", TUBES, "EL84"),
        ("6V6", TUBES, "6V6GT"),
        ("6SL7", TUBES, "6SL7GT"),
        ("KT88", TUBES, None),
        ("anything", KEYS, None),
        ("", KEYS, None),
        ("x" * 1000, KEYS, None),
        ("a", ("b",), None),
    ],
)
def test_nearest(word: str, known: tuple[str, ...], answer: str | None) -> None:
    assert nearest(word, known) == answer
    assert nearest(word, reversed(known)) == answer


def test_several_in_order_of_nearness() -> None:
    assert nearest_all("12AZ7", TUBES) == ("12AT7", "12AU7", "12AX7")
    assert nearest_all("12AX7", TUBES)[0] == "12AX7"


def test_distance_counts_a_swap_once() -> None:
    assert distance("EL48", "EL84") == 1
    assert distance("kitten", "sitting") == 3  # Levenshtein's own example
    assert distance("", "abc") == 3
    assert distance("abcdefgh", "x", 2) == 3
