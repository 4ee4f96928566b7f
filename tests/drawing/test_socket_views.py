"""Socket views: pins where the base has them, electrodes of the library, wires of the layout, volts of the results; no text on another."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from random import Random
from xml.etree import ElementTree as ET

import pytest

from humdinger.circuit.netlist import Jack, Pot, Tube
from humdinger.drawing.sockets import jack_view, pin_angles, pot_view, socket_view, views, volts_text
from humdinger.drawing.views import View, overlaps
from humdinger.layout.tags import Tag, tags_of
from humdinger.manual.sockets import codes
from humdinger.parts.library import Library
from support.manuals import DEMO_NAMES, manual

SVG = "{http://www.w3.org/2000/svg}"


def drawn(name: str) -> dict[str, View]:
    made = manual(name)[0]
    assert made.netlist is not None
    assert made.layout is not None
    assert made.results is not None
    tags = tags_of(made.netlist, made.layout, made.results)
    return {view.name: view for view in views(made.netlist, tags, codes(made.layout))}


def parts(name: str):
    made = manual(name)[0]
    assert made.netlist is not None
    assert made.layout is not None
    assert made.results is not None
    return made.netlist, made.layout, made.results


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_every_tube_pot_and_jack_has_a_view_and_no_text_touches_another(name: str) -> None:
    netlist, _, _ = parts(name)
    found = drawn(name)
    assert set(found) == {part.ref for part in netlist.parts if isinstance(part, Tube | Pot | Jack)}
    for view in found.values():
        assert overlaps(view) == []


@pytest.mark.parametrize(
    ("base", "angles"),
    [
        ("B9A", [36, 72, 108, 144, 180, 216, 252, 288, 324]),
        ("B7G", [45, 90, 135, 180, 225, 270, 315]),
        ("octal", [22.5, 67.5, 112.5, 157.5, 202.5, 247.5, 292.5, 337.5]),
    ],
)
def test_pins_stand_where_the_base_has_them(base: str, angles: list[float]) -> None:
    """Nine pins 36 degrees apart and seven 45 apart with a gap of two, eight 45 apart with the key between (from memory)."""
    found = Library().base(base)
    assert found is not None
    assert pin_angles(found.pins, found.pin_spacing_degrees) == pytest.approx(angles)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_pins_count_clockwise_from_below(name: str) -> None:
    """Read back from the drawing: the circles with a number, by their angle clockwise from straight down as the page is seen."""
    netlist, _, _ = parts(name)
    for tube in netlist.of(Tube):
        root = ET.fromstring(drawn(name)[tube.ref].svg)
        circles = [(float(c.get("cx", "")), float(c.get("cy", ""))) for c in root.iter(f"{SVG}circle") if c.get("r") == "2.1"]
        assert len(circles) == tube.type.base.pins
        middle = (44.0, float(root.get("viewBox", "").split()[3]) / 2)
        # screen y grows downwards: from down towards the left is clockwise
        angles = [math.degrees(math.atan2(middle[0] - x, y - middle[1])) % 360 for x, y in circles]
        assert angles == sorted(angles)
        numbers = [t.text for t in root.iter(f"{SVG}text") if (t.text or "").isdigit()]
        assert numbers == [str(k) for k in range(1, tube.type.base.pins + 1)]


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_electrodes_are_those_of_the_library_and_nets_those_of_the_netlist(name: str) -> None:
    netlist, layout, results = parts(name)
    for tube in netlist.of(Tube):
        tags = {tag.pin: tag for tag in tags_of(netlist, layout, results)[tube.ref]}
        assert list(tags) == [str(k) for k in range(1, tube.type.base.pins + 1)]
        assert {pin: tag.net for pin, tag in tags.items() if tag.net} == {pin.name: pin.net for pin in tube.pins}
        for section in tube.type.sections:
            for electrode, pins in section.pins.items():
                assert all(electrode in tags[str(pin)].what for pin in pins)
        assert {p for p, tag in tags.items() if tag.kind == "internal"} == {str(p) for p in tube.type.internal_pins}
        for section in (s for s in netlist.sections if s.tube == tube.ref):
            for electrode in ("plate", "grid", "cathode", "screen"):
                nets = {tags[str(p)].net for p in section.section.pins.get(electrode, ())}
                assert nets <= {getattr(section, electrode)}
            on = [p for pins in section.section.pins.values() for p in pins]
            assert all(("not used" in tags[str(p)].what) == section.unused for p in on)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_wires_on_tags_are_those_of_the_layout(name: str) -> None:
    """Every end of a wire at a tube, pot or jack is on the tag it names, and nothing else is."""
    netlist, layout, results = parts(name)
    found = {(ref, tag.pin, n) for ref, tags in tags_of(netlist, layout, results).items() for tag in tags for n in (*tag.wires, *tag.plug)}
    kinds = {part.ref for part in netlist.parts if isinstance(part, Tube | Pot | Jack)}
    assert found == {(t.ref, t.pin, w.number) for w in layout.wires for t in (w.start, w.end) if t.ref in kinds}
    outside = {w.number for w in layout.wires if w.outside}
    assert all(n in outside for tags in tags_of(netlist, layout, results).values() for tag in tags for n in tag.plug)
    assert not any(n in outside for tags in tags_of(netlist, layout, results).values() for tag in tags for n in tag.wires)
    screens = {(ref, tag.pin, n) for ref, tags in tags_of(netlist, layout, results).items() for tag in tags for n in tag.screens}
    assert screens == {(w.drain.ref, w.drain.pin, w.number) for w in layout.wires if w.drain and w.drain.ref in kinds}
    assert name != "curlew" or screens


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_a_drawing_says_what_its_tags_say(name: str) -> None:
    netlist, layout, results = parts(name)
    for tube in netlist.of(Tube):
        words = " ".join(box.string for box in drawn(name)[tube.ref].texts).replace("\u00a0", " ")
        for tag in tags_of(netlist, layout, results)[tube.ref]:
            assert ", ".join(map(str, tag.wires)) in words
            assert volts_text(tag).replace("\u00a0", " ") in words
            if tag.net and tag.net in results.nominal.volts and tag.alternating_volts is None:
                shown = float(re.sub("[^0-9.−]", "", volts_text(tag).split("\u00a0")[0]).replace("−", "-"))
                scale = 1e-3 if "mV" in volts_text(tag) else 1.0
                assert shown * scale == pytest.approx(results.nominal.volts[tag.net], rel=6e-3, abs=5.1e-3)


def test_heaters_and_rectifier_plates_say_that_they_alternate() -> None:
    netlist, layout, results = parts("heron")
    tags = {tag.pin: tag for tag in tags_of(netlist, layout, results)["V6"]}
    heater = next(h for h in results.heaters if h.winding == "H2").volts["nominal"]
    assert tags["2"].alternating_volts == tags["8"].alternating_volts == heater
    assert tags["4"].alternating_volts == results.nominal.rectifiers["high-tension"].winding_volts_rms
    assert volts_text(tags["8"]).startswith("AC\u00a05.0")
    assert "on\u00a0371" in volts_text(tags["8"])
    assert tags["1"].kind == "absent"


NAMES = ("plate a", "cathode, suppressor", "grid b, not used", "screen", "heater", "cathode, heater", "plate1", "no electrode")


def any_tag(random: Random, pin: str, kind: str) -> Tag:
    """A tag with whatever could stand on it, more than three wires too."""
    return Tag(
        pin,
        kind,
        random.choice(NAMES),
        "x" if kind == "wired" else "",
        tuple(random.sample(range(1, 250), random.randrange(5))),
        tuple(random.sample(["R21", "R105", "C12"], random.randrange(3))),
        random.choice([None, 0.0, -45.6, 371.2, 0.0427]),
        random.choice([None, None, 6.39, 297.0]),
        screens=tuple(random.sample(range(1, 250), random.choice([0, 0, 0, 1, 2]))),
        plug=tuple(random.sample(range(1, 250), random.choice([0, 0, 0, 1, 2]))),
    )


def test_whatever_lands_on_a_socket_no_text_touches_another(deep_count: Callable[[int], int]) -> None:
    random = Random(37)
    netlist, _, _ = parts("curlew")
    tube, pot, jack = next(netlist.of(Tube)), next(netlist.of(Pot)), next(netlist.of(Jack))
    types = [Library().tube(name) for name in ("12AX7", "EL34", "6AQ5", "GZ34", "6BM8")]
    for _ in range(deep_count(2000)):
        type_ = random.choice(types)
        assert type_ is not None
        code = {"x": random.choice(["PK", "WHRD", "GNYE", "TAN"])}
        kinds = ("wired", "wired", "wired", "internal", "unconnected", "bare", "absent")
        tags = [any_tag(random, str(k + 1), random.choice(kinds)) for k in range(type_.base.pins)]
        assert overlaps(socket_view(replace(tube, ref="V10", type=type_), tags, code)) == []
        assert overlaps(pot_view(pot, [any_tag(random, pin, "wired") for pin in ("ccw", "wiper", "cw")], code)) == []
        contacts = [any_tag(random, pin, "wired") for pin in ("tip", "tip-switch", "sleeve")]
        assert overlaps(jack_view(jack, contacts, code)) == []


def test_the_lint_finds_what_it_looks_for() -> None:
    from humdinger.drawing.views import Canvas

    canvas = Canvas("x", "x", "x", 20, 10)
    canvas.text(2, 5, "plate", 3)
    canvas.text(4, 5.5, "grid", 3)
    canvas.text(18, 9, "out", 3)
    assert overlaps(canvas.done()) == [("plate", "grid"), ("out", "the edge")]
