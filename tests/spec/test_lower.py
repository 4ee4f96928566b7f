"""What the texts of a spec become: values of units/, with the place they came from."""

from __future__ import annotations

import pytest

from humdinger.source.load import load
from humdinger.spec.lower import lower
from humdinger.spec.model import POISON
from humdinger.units.values import (
    Capacitance,
    ContactRating,
    FuseRating,
    Potentiometer,
    Quantity,
    Resistance,
    SectionName,
    WindingVolts,
)
from support.front import PATH, SMALLEST, codes, front, world

BASE = SMALLEST.read_text(encoding="utf-8")
TEXT = (
    BASE.replace(
        "plate_load: 100k 1W", "plate_load: {value: 100k, power: 1 W, tolerance: 5 %, volts: 350 V, type: flameproof, part: house-1}", 1
    )
    .replace("cathode_resistor: 1k5", "cathode_resistor: 820", 1)
    .replace("cathode_bypass: 22u 63V", 'cathode_bypass: "22u 63V"', 1)
    .replace("coupling: 22n 630V", "coupling: {value: 22n, rating: 630 V, type: film, ripple: 20 mA}", 1)
    .replace("pot: 1M audio", "pot: {value: 1M, taper: audio, power: 0.5 W, type: carbon}")
)


def spec_of(text: str, replacements=(), files=None):
    """The Spec of a text with no SRC fault, and what lower said."""
    source, found = load(world(text, files), PATH)
    assert source is not None
    assert not found
    spec, said = lower(source, replacements)
    assert spec is not None
    return spec, said


@pytest.fixture(scope="module")
def root():
    spec, said = spec_of(TEXT)
    assert not said
    return spec.root


def test_components_as_mappings_and_texts(root):
    first = root.blocks("signal")[1]
    assert first.get("plate_load") == Resistance(100e3, 1.0, 0.05, 350.0, "flameproof", "house-1")
    assert first.get("cathode_resistor") == Resistance(820.0)
    assert first.get("cathode_bypass") == Capacitance(22e-6, 63.0)
    assert first.get("coupling") == Capacitance(22e-9, 630.0, None, "film", 0.02)
    assert root.blocks("signal")[2].get("pot") == Potentiometer(1e6, "audio", 0.5, "carbon")


def test_names_stay_text_and_sections_are_split(root):
    first = root.blocks("signal")[1]
    assert first.get("tube") == SectionName("V1", "a")
    assert (first.get("supply"), first.get("stage"), first.get("id")) == ("B3", "common-cathode", "first")
    assert [item.value for item in root.block("output").items("tubes")] == ["V2"]


def test_ratings(root):
    supply = root.block("supply")
    mains, transformer = supply.block("mains"), supply.block("transformer")
    assert mains.get("fuse") == FuseRating("T", 0.2, "H", 250.0)
    assert mains.block("switch").get("rating") == ContactRating(250.0, 4.0)
    assert mains.block("switch").get("poles") == 2
    assert transformer.block("high_tension").get("volts") == WindingVolts(200.0, False)
    assert [item.value for item in transformer.block("high_tension").items("resistance")] == [Quantity(110.0, "Ω")]
    assert [item.value for item in transformer.blocks("primary")[0].items("hz")] == [Quantity(50.0, "Hz"), Quantity(60.0, "Hz")]
    assert root.block("grounding").block("pe_stud").get("dedicated") is True
    assert root.block("grounding").block("circuit_bond").get("area") == Quantity(1e-6, "m²")


def test_a_whole_twin_tube_has_no_section():
    text = BASE.replace("tube: V1b", "tube: V1")
    assert spec_of(text)[0].root.blocks("signal")[3].get("tube") == SectionName("V1", "")


def test_paths_and_spans(root):
    lines = TEXT.splitlines()
    field = root.blocks("signal")[1].field("cathode_resistor")
    assert (field.path, field.text) == ("signal/1/cathode_resistor", "820")
    assert lines[field.span.line - 1][field.span.column - 1 : field.span.end_column - 1] == "820"
    assert lines[field.key_span.line - 1][field.key_span.column - 1 : field.key_span.end_column - 1] == "cathode_resistor"
    item = root.block("output").items("tubes")[0]
    assert (item.path, item.key_span) == ("output/tubes/0", None)
    assert root.block("supply").blocks("filter")[1].path == "supply/filter/1"


def test_the_spec_wins_over_an_include_and_fields_know_their_file():
    house = "model: {revision: B}\noutput: {grid_leak: 1M, screen_stopper: 1k 2W}\ndonor: {cord: three-core}\n"
    text = BASE.replace("humdinger: 1", "humdinger: 1\ninclude: [../house.yaml]", 1)
    spec, _ = spec_of(text, files={"house.yaml": house})
    assert spec.root.block("output").get("grid_leak") == Resistance(470e3)
    assert spec.root.block("model").get("revision") == "B"
    assert spec.root.block("model").get("name") == "Knot"
    donor = spec.root.block("donor").field("cord")
    assert donor is not None
    assert donor.span.file == "house.yaml"
    grid_leak = spec.root.block("output").field("grid_leak")
    assert grid_leak is not None
    assert grid_leak.span.file == PATH


def test_two_schemes_are_not_blended():
    house = "bias: {scheme: fixed, filter: [{capacitor: 47u 100V}], range: {pot: 25k linear, to_ground: 27k, to_negative: 10k}}\n"
    text = BASE.replace("humdinger: 1", "humdinger: 1\ninclude: [../house.yaml]", 1)
    assert front(text, {"house.yaml": house})[1] == ()


def test_the_shop_file_is_a_block_of_its_own():
    text = BASE.replace("humdinger: 1", "humdinger: 1\ninclude: [../shop.yaml]", 1)
    spec, _ = spec_of(text)
    assert spec.shop.get("maker") == "Saltmarsh Amp Works"
    assert "maker" not in spec.root
    assert spec_of(BASE)[0].shop.fields == ()


def test_a_bad_value_is_poison_and_said_once():
    spec, said = spec_of(BASE.replace("grid_leak: 470k", "grid_leak: 470 kilo"))
    assert codes(said) == ["UNI-001"]
    field = spec.root.block("output").field("grid_leak")
    assert field is not None
    assert field.value is POISON
    assert spec.root.block("output").get("grid_leak", 5) == 5
    assert said[0].primary is not None
    assert said[0].primary.span == field.span


def test_a_bad_value_inside_a_mapping_poisons_the_part():
    spec, said = spec_of(TEXT.replace("power: 1 W", "power: 1"))
    assert codes(said) == ["UNI-007"]
    assert spec.root.blocks("signal")[1].field("plate_load").value is POISON  # type: ignore[union-attr]


class TestReplacements:
    def test_a_value_is_written_over(self):
        spec, said = spec_of(BASE, [("signal/1/plate_load", "220k 1W"), ("supply/filter/0/capacitor", "22u 500V")])
        assert not said
        assert spec.root.blocks("signal")[1].get("plate_load") == Resistance(220e3, 1.0)
        assert spec.root.block("supply").blocks("filter")[0].get("capacitor") == Capacitance(22e-6, 500.0)

    def test_a_mapping_is_written_over(self):
        spec, _ = spec_of(TEXT, [("signal/1/plate_load", "47k")])
        assert spec.root.blocks("signal")[1].get("plate_load") == Resistance(47e3)

    def test_a_list_item_is_written_over(self):
        spec, _ = spec_of(BASE, [("output/transformer/taps/0", "16 ohm")])
        assert [item.value for item in spec.root.block("output").block("transformer").items("taps")] == [Quantity(16.0, "Ω")]

    def test_a_missing_key_and_missing_mappings_are_made(self):
        spec, _ = spec_of(BASE, [("signal/3/grid_stopper", "10k"), ("supply/ht_fuse/rating", "T 250mA 250V")])
        assert spec.root.blocks("signal")[3].get("grid_stopper") == Resistance(10e3)
        assert spec.root.block("supply").block("ht_fuse").get("rating") == FuseRating("T", 0.25, "", 250.0)

    def test_a_bad_text_is_a_finding(self):
        assert codes(spec_of(BASE, [("signal/1/plate_load", "much")])[1]) == ["UNI-001"]

    @pytest.mark.parametrize(
        "path", ["", "nowhere", "signal/99/plate_load", "signal/first/plate_load", "region/x", "signal/1/plate_load/x/y"]
    )
    def test_a_path_to_nowhere_changes_nothing(self, path):
        spec, said = spec_of(BASE, [(path, "1k")])
        assert not said
        assert spec.root == spec_of(BASE)[0].root

    def test_the_source_is_not_changed(self):
        source, _ = load(world(BASE), PATH)
        assert source is not None
        lower(source, [("signal/1/plate_load", "220k")])
        spec, _ = lower(source)
        assert spec is not None
        assert spec.root.blocks("signal")[1].get("plate_load") == Resistance(100e3, 1.0)
