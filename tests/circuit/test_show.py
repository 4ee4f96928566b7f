"""The elaborated spec: every value with its origin, and a spec again when printed."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest

from humdinger.circuit.netlist import Netlist, Origin
from humdinger.circuit.show import show_text, shown
from humdinger.diagnostics import Span
from support.demos import NAMES
from support.texts import Made, edit, made, text_of

AMPS = (*NAMES, "ruff", "whimbrel", "pipit", "smallest")
NOWHERE = Span("", 0, 0, 0, 0)


def bare(value):
    """Anything of a netlist without spans and origins: what is written now was a default before."""
    if isinstance(value, Span):
        return NOWHERE
    if isinstance(value, Origin):
        return None
    if isinstance(value, tuple):
        return tuple(bare(item) for item in value)
    if isinstance(value, dict):
        return {key: bare(item) for key, item in value.items()}
    if hasattr(value, "__dataclass_fields__"):
        return (type(value).__name__, *(bare(getattr(value, f.name)) for f in fields(value)))
    return value


def text_again(found: Made) -> str:
    assert found.design is not None
    assert found.netlist is not None
    return show_text(found.design, found.netlist)


def same(one: Netlist, two: Netlist) -> bool:
    return bare(replace(one, defaults=())) == bare(replace(two, defaults=()))


@pytest.mark.parametrize("name", AMPS)
def test_what_is_printed_is_a_spec_of_the_same_amp(name):
    first = made(text_of(name))
    printed = text_again(first)
    second = made(printed)
    assert second.diagnostics == ()
    assert first.netlist is not None
    assert second.netlist is not None
    assert same(first.netlist, second.netlist)
    assert second.netlist.defaults == ()  # every default is written now
    assert values(text_again(second)) == values(printed)


def values(printed: str) -> list[str]:
    """The printed lines without their comments: what was a default is a written value the second time."""
    return [line.partition("  #")[0] for line in printed.split("\n")]


def test_the_comparison_would_notice():
    first, second = made(text_of("ruff")), made(edit("ruff", ("plate_load: 220k", "plate_load: 221k")))
    assert not same(first.good, second.good)


def test_defaults_carry_their_reason():
    lines = text_again(made(text_of("ruff"))).split("\n")
    assert "    order: [fuse, switch]  # default: a fuse first protects the switch and its wires too (common practice)" in lines
    assert "frequency: 50 Hz  # default: the mains of region eu" in lines
    assert "  VOLUME: 5  # default: the middle of its turn" in lines
    assert "    cathode_bypass: 10u 63V  # electrolytic by default" in lines
    assert "    plate_load: 150k" in lines


def test_a_default_whose_section_is_not_written():
    lines = text_again(made(text_of("ruff"))).split("\n")
    at = lines.index("unused:")
    assert lines[at + 1].startswith("  V2b: ground  # default: ")


def test_included_values_say_where_they_come_from():
    house = "grounding: {chassis_joint: reservoir}\nsupply: {mains: {strain_relief: true}}\n"
    text = edit("ruff", ("humdinger: 1\n", "humdinger: 1\ninclude: [../house.yaml]\n"), ("  chassis_joint: input\n", ""))
    found = made(text, {"house.yaml": house})
    lines = text_again(found).split("\n")
    assert "  chassis_joint: reservoir  # from house.yaml" in lines
    assert "    strain_relief: true  # from house.yaml" in lines
    assert "include: [../house.yaml]" in lines
    again = made("\n".join(lines), {"house.yaml": house})
    assert same(found.good, again.good)


def test_the_shop_file_is_told_of_in_comments():
    lines = text_again(made(text_of("curlew"))).split("\n")
    assert "# shop maker: Saltmarsh Amp Works (from shop.yaml)" in lines


def test_texts_that_need_quotes_are_read_back():
    odd = 'Say: "no" # or 012'
    model = f"{{name: 'no', revision: '012', summary: '{odd}', sold_as: own-use}}"
    again = made(text_again(made(edit("smallest", ("{name: Knot, sold_as: own-use}", model)))))
    assert again.design is not None
    found = again.design.spec.block("model")
    assert (found.get("name"), found.get("revision"), found.get("summary")) == ("no", "012", odd)


def test_a_part_written_as_a_mapping_is_read_back_to_the_bit():
    mapping = "plate_load: {value: 123456.7, power: 2 W, tolerance: 5 %, volts: 350 V, type: flameproof, part: house-7}"
    capacitor = "coupling: {value: 23.4 nF, rating: 630 V, tolerance: 10 %, type: film, part: '12'}"
    pieces = (
        "    id: driver\n    tube: V1b\n    supply: B3\n    plate_load: 100k 1W\n",
        f"    id: driver\n    tube: V1b\n    supply: B3\n    {mapping}\n",
    )
    text = edit("smallest", pieces).replace("coupling: 22n 630V\n\noutput", f"{capacitor}\n\noutput")
    first = made(text)
    second = made(text_again(first))
    assert same(first.good, second.good)
    assert [p.note for p in second.good.parts if p.note] == ["12", "house-7"]


def test_rows():
    found = made(text_of("curlew"))
    assert found.design is not None
    rows = {row.path: row for row in shown(found.design, found.good)}
    assert rows["signal/1/plate_load"].origin.kind == "spec"
    order = rows["supply/mains/order"]
    assert (order.text, order.origin.kind) == ("[fuse, switch]", "default")
    assert rows["shop/maker"].origin == Origin("include", "from shop.yaml")
    assert len(rows) == len(shown(found.design, found.good))
    assert {d.path for d in found.good.defaults} <= set(rows)
