"""The demos pass the language passes without a word, and their values mean what was written."""

from __future__ import annotations

import pytest
from support.front import DEMOS, SMALLEST, front

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


def demo(name: str):
    """The Design of a demo."""
    text = next(path for path in DEMOS if path.parent.name == name).read_text(encoding="utf-8")
    design, found = front(text)
    assert design is not None, found
    return design


@pytest.mark.parametrize("path", [*DEMOS, SMALLEST], ids=lambda path: path.name)
def test_no_finding(path):
    design, found = front(path.read_text(encoding="utf-8"))
    assert found == ()
    assert design is not None


def test_there_are_three_demos():
    assert [path.parent.name for path in DEMOS] == ["curlew", "dunlin", "heron"]


def test_component_values():
    spec = demo("curlew").spec
    first = spec.blocks("signal")[1]
    assert first.get("plate_load") == Resistance(150e3)
    assert first.get("cathode_bypass") == Capacitance(10e-6, 63.0)
    assert first.get("coupling") == Capacitance(22e-9, 630.0)
    assert first.get("tube") == SectionName("V1", "a")
    assert first.get("supply") == "B4"
    assert spec.blocks("signal")[3].get("pot") == Potentiometer(1e6, "audio")
    supply = spec.block("supply")
    assert supply.block("mains").get("fuse") == FuseRating("T", 0.5, "H", 250.0)
    assert supply.block("mains").block("switch").get("rating") == ContactRating(250.0, 4.0)
    assert supply.block("mains").block("switch").get("poles") == 2
    assert supply.block("transformer").block("high_tension").get("volts") == WindingVolts(220.0, True)
    assert supply.block("transformer").get("screen") is True


def test_quantities_are_si():
    spec = demo("curlew").spec
    transformer = spec.block("output").block("transformer")
    assert transformer.get("primary") == Quantity(8000.0, "Ω")
    assert transformer.get("leakage_inductance") == Quantity(25e-3, "H")
    assert spec.block("speaker").get("diameter") == Quantity(12 * 0.0254, "m")
    assert spec.block("speaker").get("sensitivity") == Quantity(97.0, "dB")
    assert spec.block("speaker").get("resistance") == Quantity(6.4, "Ω")
    assert spec.block("safety").block("warning_label").get("wait") == Quantity(120.0, "s")


def test_lists():
    supply = demo("curlew").spec.block("supply")
    transformer = supply.block("transformer")
    assert [item.value for item in transformer.block("high_tension").items("resistance")] == [Quantity(70.0, "Ω"), Quantity(73.0, "Ω")]
    assert [item.value for item in transformer.blocks("primary")[0].items("hz")] == [Quantity(50.0, "Hz"), Quantity(60.0, "Hz")]
    assert [row.get("node") for row in supply.blocks("filter")] == ["B1", "B2", "B3", "B4"]
    assert [item.value for item in supply.blocks("filter")[0].items("feeds")] == ["output-plates"]


def test_paths_and_spans():
    design = demo("curlew")
    field = design.spec.blocks("signal")[1].field("plate_load")
    assert field is not None
    assert field.path == "signal/1/plate_load"
    assert field.text == "150k"
    text = next(path for path in DEMOS if path.parent.name == "curlew").read_text(encoding="utf-8").splitlines()
    assert text[field.span.line - 1][field.span.column - 1 : field.span.end_column - 1] == "150k"
    assert field.key_span is not None
    assert text[field.key_span.line - 1][field.key_span.column - 1 : field.key_span.end_column - 1] == "plate_load"
    item = design.spec.block("output").items("tubes")[1]
    assert (item.path, item.value, item.key_span) == ("output/tubes/1", "V5", None)


def test_names_are_bound():
    design = demo("heron")
    assert design.tubes["V4"].type.name == "EL34"
    assert design.tubes["V6"].type.is_rectifier
    assert design.region.code == "uk"
    assert design.mains_hertz == 50.0
    assert set(design.diodes) == {"1N4007"}
    assert design.name == "Heron"
    assert design.shop.get("maker") == "Saltmarsh Amp Works"


def test_dunlin_runs_on_60_hertz():
    assert demo("dunlin").mains_hertz == 60.0
