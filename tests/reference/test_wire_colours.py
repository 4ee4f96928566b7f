"""Wire and lead colours against the standards and tables they are from. All of it from memory where it says so: no text was opened here.

IEC 60445 (from memory, and as public cable tables quote it): protective earth green-and-yellow, neutral blue; line brown, black or
grey, brown for a single line. North American practice (National Electrical Code as quoted): neutral white, earth green, green-yellow
or bare; line black. RETMA, later EIA: leads of power and output transformers (public page quoting the table; the same from memory).
IEC 60757: letter codes (from memory). ASTM B258: gauges (from memory; tests/units/test_astm_b258.py holds the table).
"""

from __future__ import annotations

import pytest

from humdinger.layout.colours import EARTH_ONLY, HOUSE, LETTERS, OUTPUT_LEADS, POWER_LEADS, SPEAKER_LEAD, is_green, letters, mains_colours
from humdinger.parts.library import Library
from humdinger.parts.wires import wire_table
from humdinger.units import awg_area_mm2, nearest_awg
from support.manuals import DEMO_NAMES, manual

MAINS = {
    # region: line, neutral, earth (first is the house's choice)
    "eu": ("brown", "blue", {"green-yellow"}),
    "uk": ("brown", "blue", {"green-yellow"}),
    "au": ("brown", "blue", {"green-yellow"}),
    "us": ("black", "white", {"green", "green-yellow"}),
    "ca": ("black", "white", {"green", "green-yellow"}),
    "jp": ("black", "white", {"green", "green-yellow"}),
}

RETMA_POWER = {
    "primary": ("black", "black"),
    "high-tension": ("red", "red-yellow", "red"),
    "rectifier-heater": ("yellow", "yellow-blue", "yellow"),
    "heater": ("green", "green-yellow", "green"),
    "heater-2": ("brown", "brown-yellow", "brown"),
    "heater-3": ("slate", "slate-yellow", "slate"),
}
RETMA_OUTPUT = {"plate": "blue", "other plate": "brown", "B+": "red", "return": "black", "speaker": "green"}

IEC_60757 = {
    "BK": "black", "BN": "brown", "RD": "red", "OG": "orange", "YE": "yellow", "GN": "green", "BU": "blue", "VT": "violet", "GY": "grey",
    "WH": "white", "PK": "pink", "TQ": "turquoise",
}  # fmt: skip


@pytest.mark.parametrize("code", MAINS)
def test_mains_colours_of_a_region(code: str) -> None:
    region = Library().region(code)
    assert region is not None
    line, neutral, earth = MAINS[code]
    assert (region.line_colour, region.neutral_colour) == (line, neutral)
    assert set(region.earth_colours) == earth
    assert set(mains_colours(code)) == {line, neutral}
    assert set(region.earth_colours) <= set(EARTH_ONLY)
    assert set(Library().region_codes()) == set(MAINS)


def test_leads_of_power_transformers() -> None:
    assert dict(POWER_LEADS) == RETMA_POWER


def test_leads_of_output_transformers() -> None:
    assert OUTPUT_LEADS["P"] == OUTPUT_LEADS["P1"] == RETMA_OUTPUT["plate"]
    assert OUTPUT_LEADS["P2"] == RETMA_OUTPUT["other plate"]
    assert OUTPUT_LEADS["B"] == OUTPUT_LEADS["CT"] == RETMA_OUTPUT["B+"]
    assert OUTPUT_LEADS["0"] == RETMA_OUTPUT["return"]
    assert RETMA_OUTPUT["speaker"] == SPEAKER_LEAD


def test_letter_codes() -> None:
    assert {code: name for name, code in LETTERS.items() if name != "slate"} == IEC_60757
    assert LETTERS["slate"] == LETTERS["grey"]
    assert letters("green-yellow") == "GNYE"  # IEC 60757 writes the earth conductor so
    assert letters("white-red") == "WHRD"
    assert letters("tan") == "TAN"


def test_house_colours_mean_nothing_of_mains_or_earth_and_are_told_apart() -> None:
    forbidden = {"black", "brown", "blue", "white", *EARTH_ONLY}
    assert not set(HOUSE.values()) & forbidden
    assert not any(is_green(colour) for colour in HOUSE.values())
    assert len(set(HOUSE.values())) == len(HOUSE)
    codes = [letters(colour) for colour in HOUSE.values()]
    assert len(set(codes)) == len(codes)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_only_earth_is_green_and_only_mains_is_of_mains_colours(name: str) -> None:
    made = manual(name)[0]
    assert made.netlist is not None
    assert made.layout is not None
    line, neutral, earth = MAINS[made.netlist.region.code]
    for wire in made.layout.wires:
        assert (wire.colour in earth) == (wire.net == "PE" or bool(wire.bond)), wire.number  # the bond is a protective conductor
        assert (wire.colour in (line, neutral)) == (made.netlist.nets[wire.net].domain == "mains"), wire.number


# IEC 60228 from memory: 0.5, 0.75, 1, 1.5 and 2.5 mm2 are standard areas. The gauge sold in place of each, and its ASTM B258 area.
SUBSTITUTES = ((24, 0.22, 0.205), (22, 0.34, 0.326), (20, 0.5, 0.518), (18, 0.75, 0.823), (16, 1.0, 1.31), (14, 1.5, 2.08), (12, 2.5, 3.31))


@pytest.mark.parametrize(("gauge", "metric", "astm"), SUBSTITUTES)
def test_sizes_of_wire(gauge: int, metric: float, astm: float) -> None:
    """The tables print three digits."""
    assert awg_area_mm2(gauge) == pytest.approx(astm, rel=5e-3)
    assert next(s.area_mm2 for s in wire_table().sizes if s.gauge == gauge) == metric
    # where the metric size is not between two gauges, the nearest gauge is the substitute
    assert nearest_awg(metric) - gauge in (0, 1)


def test_least_sizes_are_those_of_common_practice() -> None:
    """Mains, speaker 18 gauge; heaters 20 to 3 A, 18 to 6 A; B+ 22, signal 24; 600 V for mains, heaters, B+ (common practice)."""
    table = wire_table()
    for kind, gauge, volts in (("mains", 18, 600), ("heater", 20, 600), ("supply", 22, 600), ("signal", 24, 300), ("speaker", 18, 300)):
        assert (table.runs[kind].size.gauge, table.runs[kind].volts) == (gauge, volts)
    heater = table.runs["heater"].size
    assert [table.size_for(heater, amps).gauge for amps in (0.3, 3.0, 3.01, 6.0)] == [20, 20, 18, 18]
    assert [table.insulation_for(300, volts) for volts in (0, 301, 601, 1001)] == [300, 600, 1000, 0]
