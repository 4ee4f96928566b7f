"""The built-in library: complete, consistent, every number with a source, and true to the figures it was made from."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

import pytest

from humdinger.parts.folder import DATA
from humdinger.parts.index import build_index
from humdinger.parts.library import Library, load_yaml
from humdinger.parts.model import Cited, OperatingPoint, RectifierRatings, Section, TubeType

LIBRARY = Library()
TUBES = (
    "12AX7", "12AY7", "12AT7", "12AU7", "5751", "6SN7GT", "6SL7GT", "EF86", "6AQ5", "6V6GT", "EL84", "6L6GC", "EL34", "5881", "KT66",
    "KT88", "6BM8", "5Y3GT", "GZ34", "5U4GB", "6X4", "EZ81", "EZ80",
)  # fmt: skip


def tube(name: str) -> TubeType:
    found = LIBRARY.tube(name)
    assert found is not None, name
    return found


def only(name: str) -> Section:
    return tube(name).sections[0]


def number(value: Cited | None) -> float | None:
    return None if value is None else value.value


def test_all_types_are_there() -> None:
    assert LIBRARY.tube_names() == TUBES
    assert {path.stem for path in (DATA / "tubes").glob("*.yaml")} == set(TUBES)


@pytest.mark.parametrize(
    ("alias", "name"),
    [
        ("ECC83", "12AX7"),
        ("7025", "12AX7"),
        ("6BQ5", "EL84"),
        ("5AR4", "GZ34"),
        ("ECL82", "6BM8"),
        ("6CA7", "EL34"),
        ("6V4", "EZ80"),
        ("EL90", "6AQ5"),
    ],
)
def test_other_names_lead_to_the_same_type(alias: str, name: str) -> None:
    assert tube(alias) is tube(name)
    assert alias in LIBRARY.tube_names(aliases=True)


@pytest.mark.parametrize("name", ["6072", "6CF8", "ECC33", "el84", "", "12AX"])
def test_relatives_and_slips_are_not_taken_for_a_type(name: str) -> None:
    assert LIBRARY.tube(name) is None


# ------------------------------------------------------------------ sources


def cited_numbers(value: Any, where: str = "") -> Iterator[tuple[str, str]]:
    """(place, source tag) of every number in a library object."""
    if isinstance(value, Cited):
        yield where, value.source
    elif isinstance(value, OperatingPoint):
        assert value.values is not None
        assert value.sources is not None
        assert set(value.values) == set(value.sources)
        for key, source in value.sources.items():
            yield f"{where}/{key}", source
    elif isinstance(value, tuple):
        for i, item in enumerate(value):
            yield from cited_numbers(item, f"{where}/{i}")
    elif is_dataclass(value):
        if isinstance(value, RectifierRatings):
            for table, source in (value.table_sources or {}).items():
                yield f"{where}/{table}", source
        if hasattr(value, "source"):
            yield f"{where}/source", value.source  # pyright: ignore[reportAttributeAccessIssue]
        for field in fields(value):
            yield from cited_numbers(getattr(value, field.name), f"{where}/{field.name}")


@pytest.mark.parametrize("name", TUBES)
def test_every_number_of_a_tube_has_a_known_source(name: str) -> None:
    found = [(where, source) for where, source in cited_numbers(tube(name)) if not (where.endswith("/source") and not source)]
    assert len(found) > 15
    assert [where for where, source in found if source not in LIBRARY.sources()] == []


def test_every_number_of_diodes_and_regions_has_a_known_source() -> None:
    parts = [LIBRARY.diode(n) for n in LIBRARY.diode_names()] + [LIBRARY.region(c) for c in LIBRARY.region_codes()]
    for part in parts:
        assert part is not None
        for where, source in cited_numbers(part):
            assert source in LIBRARY.sources(), where
    for code in LIBRARY.region_codes():
        region = LIBRARY.region(code)
        assert region is not None
        assert region.colour_source in LIBRARY.sources()


def test_no_source_is_idle_and_curves_name_theirs() -> None:
    used = {s for n in TUBES for _, s in cited_numbers(tube(n))}
    used |= {s for n in LIBRARY.diode_names() for _, s in cited_numbers(LIBRARY.diode(n))}
    for code in LIBRARY.region_codes():
        region = LIBRARY.region(code)
        assert region is not None
        used |= {s for _, s in cited_numbers(region)} | {region.colour_source}
    fits = [load_yaml(f"fits/{path.stem}") for path in (DATA / "fits").glob("*.yaml")]
    used |= {fit["curve"]["source"] for fit in fits if "curve" in fit}
    used |= {s for n in LIBRARY.base_names() for _, s in cited_numbers(LIBRARY.base(n))}
    used |= {tube(n).pins_source for n in TUBES}
    used.add(load_yaml("wire")["source"])
    used |= {"own-estimate" for n in TUBES for section in tube(n).sections if section.model and section.model.estimated}
    assert set(LIBRARY.sources()) == used - {""}


# ------------------------------------------------------------------ structure


@pytest.mark.parametrize("name", TUBES)
def test_pins_are_on_the_base_and_serve_one_purpose(name: str) -> None:
    found = tube(name)
    seen: dict[int, str] = {}
    groups = [("heater", {p for h in found.heaters for p in (*h.side_a_pins, *h.side_b_pins, *h.centre_tap_pins)})]
    groups += [(f"section {s.name}", {p for pins in s.pins.values() for p in pins}) for s in found.sections]
    groups += [("internal", set(found.internal_pins)), ("nc", set(found.unconnected_pins)), ("shield", set(found.shield_pins))]
    for use, pins in groups:
        for pin in pins:
            assert 1 <= pin <= found.base.pins
            shared = found.cathode_is_heater and pin == 8 and {use, seen.get(pin, "")} == {"heater", "section "}
            assert pin not in seen or shared, f"pin {pin}: {seen.get(pin)} and {use}"
            seen[pin] = use


@pytest.mark.parametrize("name", TUBES)
def test_sections_are_named_by_the_rule(name: str) -> None:
    found = tube(name)
    names = tuple(s.name for s in found.sections)
    assert names == {"twin triode": ("a", "b"), "triode-pentode": ("t", "p")}.get(found.kind, ("",))
    if found.kind == "twin triode":
        lowest = [min(p for pins in s.pins.values() for p in pins) for s in found.sections]
        assert lowest[0] < lowest[1]
    if found.is_rectifier:
        assert found.sections[0].pins["plate1"] < found.sections[0].pins["plate2"]


@pytest.mark.parametrize("name", TUBES)
def test_every_section_can_be_judged(name: str) -> None:
    """Limits, model and size are there; what a sheet does not say is None, never zero."""
    found = tube(name)
    assert found.envelope.diameter_mm is not None
    for section in found.sections:
        assert section.model is not None
        assert section.points
        if section.kind == "rectifier":
            assert section.rectifier is not None
            assert section.rectifier.peak_inverse_volts is not None
        else:
            ratings = section.rating()
            assert ratings is not None
            assert ratings.variant == ""
            assert all((ratings.plate_volts, ratings.plate_watts, ratings.heater_positive_volts, ratings.heater_cathode_positive_volts))
            assert (ratings.screen_watts is not None) == (section.kind == "pentode")
    limits = [getattr(r, f.name) for s in found.sections for r in s.ratings for f in fields(r)]
    assert all(limit.value > 0 for limit in limits if isinstance(limit, Cited))


# ------------------------------------------------------------------ known values, as the handbook page of the project has them


def test_12ax7() -> None:
    found = tube("12AX7")
    assert [(h.volts, h.amps, h.side_a_pins, h.side_b_pins, h.centre_tap_pins) for h in found.heaters] == [
        (6.3, 0.3, (4, 5), (9,), ()),
        (12.6, 0.15, (4,), (5,), (9,)),
    ]
    a, b = found.sections
    assert a.pins == {"plate": (1,), "grid": (2,), "cathode": (3,)}
    assert b.pins == {"plate": (6,), "grid": (7,), "cathode": (8,)}
    centre, maximum = a.rating("design-centre"), a.rating("design-max")
    assert centre is not None
    assert maximum is not None
    assert (number(centre.plate_volts), number(centre.plate_watts), number(centre.cathode_amps)) == (300, 1.0, 0.008)
    assert (number(centre.heater_positive_volts), number(centre.grid_leak_cathode_ohms), centre.grid_leak_fixed_ohms) == (180, 2e6, None)
    assert (number(maximum.plate_volts), number(maximum.plate_watts), number(maximum.heater_positive_dc_volts)) == (330, 1.2, 100)
    assert centre.plate_volts is not None
    assert centre.plate_volts.source == "article-12ax7"
    assert a.points[0].values == {
        "plate_volts": 250, "grid_volts": -2, "plate_amps": 0.0012, "mu": 100, "plate_ohms": 62500, "transconductance": 0.0016,
    }  # fmt: skip
    assert (number(a.grid_plate_farads), number(a.output_farads), number(b.output_farads)) == (1.7e-12, 0.34e-12, 0.46e-12)


def test_el84() -> None:
    section = only("EL84")
    assert section.pins == {"plate": (7,), "screen": (9,), "grid": (2,), "cathode": (3,), "suppressor": (3,)}
    assert tube("EL84").internal_pins == (1, 6, 8)
    r = section.rating()
    assert r is not None
    assert [number(x) for x in (r.plate_volts, r.plate_cutoff_volts, r.plate_watts)] == [300, 550, 12]
    assert [number(x) for x in (r.screen_watts, r.screen_peak_watts, r.cathode_amps)] == [2, 4, 0.065]
    assert (number(r.grid_leak_fixed_ohms), number(r.grid_leak_cathode_ohms)) == (300e3, 1e6)
    v = section.points[0].values or {}
    assert (v["plate_amps"], v["screen_amps"], v["screen_amps_max_signal"], v["load_ohms"]) == (0.048, 0.0055, 0.0108, 5200)
    assert section.points[4].tubes == 2


def test_rating_systems_are_kept_apart() -> None:
    v6 = only("6V6GT")
    assert [
        (r.system, number(r.plate_volts), number(r.screen_volts), number(r.plate_watts), number(r.screen_watts)) for r in v6.ratings
    ] == [
        ("design-centre", 315, 285, 12, 2.0),
        ("design-max", 350, 315, 14, 2.2),
    ]
    sn7 = only("6SN7GT")
    assert [(r.system, r.variant, number(r.plate_volts), number(r.plate_watts), number(r.both_plates_watts)) for r in sn7.ratings] == [
        ("design-centre", "", 300, 2.5, None),
        ("design-max", "6SN7GTB", 450, 5.0, 7.5),
    ]
    assert [r.system for r in only("5751").ratings] == ["absolute"]
    kt88 = only("KT88")
    default = kt88.rating()
    assert default is not None
    assert (default.system, number(default.plate_watts), number(default.total_watts)) == ("design-max", 42, 46)
    early = kt88.rating("design-centre")
    assert early is not None
    assert (early.variant, number(early.plate_watts), number(early.total_watts), early.plate_volts) == ("earlier sheets", 35, 40, None)
    assert only("6L6GC").rating("design-centre") is None
    assert number(default.grid_leak_fixed_derated_ohms) == 100e3


def test_heater_cathode_limits_by_sign() -> None:
    ef86 = only("EF86").rating()
    assert ef86 is not None
    assert (number(ef86.heater_cathode_positive_volts), number(ef86.heater_positive_volts)) == (100, 50)
    v6 = only("6V6GT").rating()
    assert v6 is not None
    assert (number(v6.heater_positive_volts), number(v6.heater_positive_dc_volts)) == (200, 100)


def test_el34_brings_its_suppressor_out() -> None:
    section = only("EL34")
    assert section.pins["suppressor"] == (1,)
    assert section.pins["cathode"] == (8,)
    assert "pin 1 to pin 8" in tube("EL34").note
    r = section.rating()
    assert r is not None
    assert (number(r.plate_watts), number(r.plate_max_signal_watts), number(r.grid_leak_fixed_ohms)) == (25, 27.5, 500e3)


def test_6aq5_has_its_grid_on_two_pins() -> None:
    assert only("6AQ5").pins["grid"] == (1, 7)


def test_6bm8_sections() -> None:
    triode, pentode = tube("6BM8").sections
    assert (triode.kind, triode.pins) == ("triode", {"plate": (9,), "grid": (1,), "cathode": (8,)})
    assert (pentode.kind, pentode.pins["grid"], pentode.pins["cathode"]) == ("pentode", (3,), (2,))
    assert triode.model is not None
    assert pentode.model is not None
    assert (triode.model.law, pentode.model.law) == ("triode", "pentode")


@pytest.mark.parametrize(
    ("name", "warm_up", "is_heater", "volts", "amps", "piv", "peak", "direct", "farads"),
    [
        ("5Y3GT", "direct", True, 5.0, 2.0, 1400, 0.4, 0.125, 20e-6),
        ("GZ34", "indirect", True, 5.0, 1.9, 1500, 0.75, 0.25, 60e-6),
        ("5U4GB", "direct", True, 5.0, 3.0, 1550, 1.0, 0.275, 40e-6),
        ("6X4", "indirect", False, 6.3, 0.6, 1250, 0.21, 0.07, 10e-6),
        ("EZ81", "indirect", False, 6.3, 1.0, 1300, 0.45, 0.15, 50e-6),
        ("EZ80", "indirect", False, 6.3, 0.6, 1000, 0.27, 0.09, 50e-6),
    ],
)
def test_rectifiers(
    name: str, warm_up: str, is_heater: bool, volts: float, amps: float, piv: float, peak: float, direct: float, farads: float
) -> None:
    found = tube(name)
    assert (found.warm_up, found.cathode_is_heater) == (warm_up, is_heater)
    assert (found.heaters[0].volts, found.heaters[0].amps) == (volts, amps)
    r = found.sections[0].rectifier
    assert r is not None
    assert [number(x) for x in (r.peak_inverse_volts, r.peak_plate_amps, r.dc_amps, r.first_capacitor_farads)] == [
        piv,
        peak,
        direct,
        farads,
    ]
    cathode = found.sections[0].pins["cathode"]
    assert (cathode[0] in found.heaters[0].side_b_pins) == is_heater


def test_gz34_tables_and_perveance() -> None:
    section = only("GZ34")
    assert section.rectifier is not None
    assert section.rectifier.source_ohms_by_volts == {300: 50, 350: 75, 400: 100, 450: 125, 500: 150, 550: 175}
    assert section.rectifier.dc_amps_by_volts == {300: 0.25, 350: 0.25, 400: 0.25, 450: 0.25, 500: 0.2, 550: 0.16}
    assert section.model is not None
    assert section.model.parameters["perveance"] == pytest.approx(0.225 / 17**1.5, rel=1e-5)


def test_diodes() -> None:
    volts = [d.repetitive_reverse_volts.value for n in LIBRARY.diode_names() if (d := LIBRARY.diode(n))]
    assert volts == [50, 100, 200, 400, 600, 800, 1000, 1000, 1000]
    found = LIBRARY.diode("1N4007")
    assert found is not None
    assert (found.saturation_amps.value, found.emission.value, found.average_amps.value, found.surge_amps.value) == (7e-9, 1.8, 1, 30)
    assert LIBRARY.diode("1N4008") is None


def test_regions() -> None:
    corners = {}
    for code in LIBRARY.region_codes():
        r = LIBRARY.region(code)
        assert r is not None
        corners[code] = (r.low_volts.value, r.nominal_volts.value, r.high_volts.value, r.insulation_high_volts.value)
        assert r.low_volts.value < r.nominal_volts.value < r.high_volts.value <= r.insulation_high_volts.value
        assert r.deferral.startswith(r.wiring_rules.split(" (")[0][:3].capitalize() if r.wiring_rules[0].islower() else r.wiring_rules[:4])
    assert corners == {
        "eu": (207, 230, 253, 253), "uk": (216.2, 230, 253, 253), "us": (114, 120, 126, 127), "ca": (114, 120, 126, 127),
        "au": (216, 230, 253, 253), "jp": (95, 100, 107, 107),
    }  # fmt: skip
    hertz = {code: number(r.hertz) for code in corners if (r := LIBRARY.region(code))}
    assert hertz == {"eu": 50, "uk": 50, "us": 60, "ca": 60, "au": 50, "jp": None}
    numbers = {code: r.emergency_number for code in corners if (r := LIBRARY.region(code))}
    assert numbers == {"eu": "112", "uk": "999", "us": "911", "ca": "911", "au": "000", "jp": "119"}
    paper = {code: r.paper for code in corners if (r := LIBRARY.region(code))}
    assert [code for code, size in paper.items() if size == "Letter"] == ["us", "ca"]
    us = LIBRARY.region("us")
    assert us is not None
    assert (us.line_colour, us.neutral_colour, us.earth_colours) == ("black", "white", ("green", "green-yellow"))
    assert LIBRARY.region("fr") is None


# ------------------------------------------------------------------ files


def test_the_index_is_current() -> None:
    """`.venv/bin/python tests/parts/reindex.py` writes it anew."""
    assert (DATA / "index.json").read_text(encoding="utf-8") == build_index()


NAMES = frozenset({
    "4e430893c6", "dd4cb9cf52", "9b7f5b1287", "adb7ddedfc", "c98565d730", "87ea80460f", "30e363d3e8", "63bbe420f1",
    "ef94d492bb", "81434e46d6", "2e230519ae", "0579faed41", "a7f0f4e06b", "24faa05041", "5bbfaea813", "b426df21b4",
    "26ae61de69", "98d9d59a90", "b675469b94", "2c8c4f00de", "f315d9ecad", "bf11ba3f48", "6126f6a2d8", "86b17d7bb2",
    "5d3e6137b4", "cf12c6259e",
})  # fmt: skip
"""Names of makers and sites that may not stand in the data: the first ten digits of the sha256 of each, in small letters, so that they
do not stand here either."""


def test_no_maker_or_site_is_named() -> None:
    for path in sorted(DATA.rglob("*.*")):
        words = set(re.findall(r"[a-z]+", path.read_text(encoding="utf-8").lower().replace("-", "")))
        found = [word for word in words if hashlib.sha256(word.encode()).hexdigest()[:10] in NAMES]
        assert found == [], path.name
