"""What names are bound to, and which spellings of a sound spec are accepted. The corpus has what is refused."""

from __future__ import annotations

from support.front import DEMOS, SMALLEST, codes, front

BASE = SMALLEST.read_text(encoding="utf-8")
CURLEW = next(path for path in DEMOS if path.parent.name == "curlew").read_text(encoding="utf-8")


def changed(text: str, *changes: tuple[str, str]) -> str:
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return text


def design_of(text: str, files=None):
    design, found = front(text, files)
    assert design is not None, found
    assert found == ()
    return design


def test_tubes_are_bound_under_their_other_names():
    design = design_of(changed(BASE, ("V1: 12AX7", "V1: ECC83")))
    assert design.tubes["V1"].type.name == "12AX7"
    assert (design.tubes["V1"].ref, design.tubes["V1"].path) == ("V1", "tubes/V1")


def test_sections_of_a_triode_pentode_are_two_tubes_in_one():
    text = changed(
        BASE,
        ("tubes: {V1: 12AX7, V2: EL84}", "tubes: {V1: 12AX7, V2: 6BM8}"),
        ("    tube: V1b", "    tube: V2t"),
    )
    assert design_of(text).tubes["V2"].type.kind == "triode-pentode"
    twice = changed(text, ("    tube: V2t", "    tube: V2p"))
    assert codes(front(twice)[1]) == ["NAM-004"]


def test_a_pair_may_be_named_as_a_twin_or_as_two_sections():
    design_of(CURLEW)
    two = changed(
        CURLEW,
        ("    tube: V3\n", "    tube: [V3a, V6b]\n"),
        ("V5: EL84}", "V5: EL84, V6: 12AT7}"),
    )
    design_of(two)
    assert codes(front(changed(two, ("[V3a, V6b]", "[V3a, V1a]")))[1]) == ["NAM-005"]


def test_japan_says_its_frequency():
    design = design_of(changed(BASE, ("region: eu", "region: jp\nfrequency: 60 Hz")))
    assert design.mains_hertz == 60.0
    assert design_of(changed(BASE, ("region: eu", "region: jp\nfrequency: 50"))).mains_hertz == 50.0
    assert codes(front(changed(BASE, ("region: eu", "region: jp\nfrequency: 55 Hz")))[1]) == ["NAM-010"]


def test_every_region_is_bound():
    for code in ("eu", "uk", "us", "ca", "au"):
        design = design_of(changed(BASE, ("region: eu", f"region: {code}")))
        assert design.region.code == code
        assert design.mains_hertz in (50.0, 60.0)


def test_pinned_designators_may_name_a_part_the_compiler_makes_two_of():
    design_of(changed(BASE, ("region: eu", "region: eu\nrefs: {signal/1/plate_load: R20, output/grid_stopper/a: R21}")))


def test_the_usual_diode_stands_by_when_none_is_named():
    text = changed(BASE, (", diodes: {part: 1N4007}", ""))
    assert set(design_of(text).diodes) == {"1N4007"}


def test_a_tap_may_be_written_another_way():
    design_of(changed(BASE, ("tap: 8 ohm", "tap: 8")))


def test_controls_of_all_kinds_are_known():
    design_of(changed(CURLEW, ("region: eu", "region: eu\ncontrols: {VOLUME: 5, BASS: 3, TREBLE: 7.5, SPEED: 0, INTENSITY: 10}")))


def test_a_parts_file_among_the_includes_adds_to_the_library():
    parts = "humdinger-parts: 1\ndiodes-library:\n  MARSH-D1: {like: 1N4007, source: the marsh}\n"
    text = changed(BASE, ("humdinger: 1", "humdinger: 1\ninclude: [../parts.yaml]"), ("part: 1N4007", "part: MARSH-D1"))
    assert "MARSH-D1" in design_of(text, {"parts.yaml": parts}).diodes
    assert codes(front(text, {"parts.yaml": "humdinger-parts: 1\n"})[1]) == ["NAM-011"]


def test_an_include_of_no_known_kind_is_refused():
    text = changed(BASE, ("humdinger: 1", "humdinger: 1\ninclude: [../odd.yaml]"))
    found = front(text, {"odd.yaml": "humdinger-shpo: 1\n"})[1]
    assert codes(found) == ["SCH-012"]
    assert found[0].helps[0].text == "did you mean `humdinger-shop`?"
    assert found[0].primary is not None
    assert found[0].primary.span.file == "odd.yaml"


def test_faults_of_the_shop_file_are_found_in_it():
    text = changed(BASE, ("humdinger: 1", "humdinger: 1\ninclude: [../shop.yaml]"))
    found = front(text, {"shop.yaml": "humdinger-shop: 1\nstyle: {resistors: zigzags}\nmakers: us\n"})[1]
    assert codes(found) == ["SCH-005", "SCH-002"]
    assert {d.primary.span.file for d in found if d.primary} == {"shop.yaml"}


def test_a_required_key_may_come_from_an_include():
    text = changed(BASE, ("region: eu\n", ""), ("humdinger: 1", "humdinger: 1\ninclude: [../house.yaml]"))
    assert design_of(text, {"house.yaml": "region: uk\n"}).region.code == "uk"
    assert codes(front(text, {"house.yaml": "donor: {cord: three-core}\n"})[1]) == ["SCH-001"]


def test_one_name_that_is_not_there_is_said_once_with_every_place():
    found = front(changed(BASE, ("V1: 12AX7, ", "")))[1]
    assert codes(found) == ["NAM-002"]
    assert [label.text for label in found[0].labels] == ["", "here too"]
