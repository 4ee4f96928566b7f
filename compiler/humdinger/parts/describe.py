"""What the library knows of a part, as plain text for a terminal; every number with the tag of its source."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from ..units import (
    show_amps,
    show_farads,
    show_hertz,
    show_number,
    show_ohms,
    show_percent,
    show_siemens,
    show_volts,
    show_watts,
)
from .library import Library
from .model import Cited, DiodeType, Envelope, OperatingPoint, RatingSet, RectifierRatings, Section, TubeModel, TubeType
from .reader import POINT_KEYS, RATING_KEYS, RECTIFIER_KEYS, RECTIFIER_TABLES

WIDTH = 100

_SHOW: tuple[tuple[str, Callable[[float], str]], ...] = (
    ("percent", lambda x: show_percent(x / 100.0)),
    ("transconductance", show_siemens),
    ("volts", show_volts),
    ("amps", show_amps),
    ("ohms", show_ohms),
    ("watts", show_watts),
    ("farads", show_farads),
    ("hertz", show_hertz),
    ("mm", lambda x: f"{show_number(x, 4)} mm"),
)
_RATING_WORDS = {
    "heater_cathode_positive_volts": "cathode above heater, peak",
    "heater_positive_volts": "heater above cathode, peak",
    "heater_positive_dc_volts": "heater above cathode, direct part",
    "grid_leak_fixed_ohms": "grid resistance, fixed bias",
    "grid_leak_cathode_ohms": "grid resistance, cathode bias",
    "grid_leak_derate_watts": "grid resistance reduced above",
    "grid_leak_fixed_derated_ohms": "reduced, fixed bias",
    "grid_leak_cathode_derated_ohms": "reduced, cathode bias",
    "total_watts": "plate and screen together",
    "both_plates_watts": "both plates together",
    "plate_max_signal_watts": "plate at full drive",
    "plate_cutoff_volts": "plate, cut off",
    "screen_cutoff_volts": "screen, cut off",
    "screen_peak_watts": "screen at full drive",
    "peak_inverse_volts": "peak inverse",
    "peak_plate_amps": "plate, peak",
    "dc_amps": "direct current, both plates",
    "plate_volts_rms": "each plate, rms",
    "plate_volts_rms_choke": "each plate, rms, choke input",
    "first_capacitor_farads": "first capacitor, at most",
    "source_ohms": "resistance in each plate, at least",
    "heater_cathode_volts": "heater to cathode, peak",
    "dc_amps_by_volts": "direct current by plate volts",
    "source_ohms_by_volts": "resistance in each plate, at least, by plate volts",
}
_POINT_WORDS = {
    "plate_ohms": "plate resistance",
    "mu_screen": "mu of the screen",
    "cathode_ohms": "cathode resistor",
    "common_cathode_ohms": "common cathode resistor",
    "screen_series_ohms": "screen resistor",
    "plate_load_ohms": "plate load",
    "next_grid_ohms": "next grid leak",
    "cutoff_grid_volts": "cut off at grid",
    "drive_peak_volts": "drive, peak",
    "drive_volts_rms": "drive, rms",
    "plate_drop_volts": "drop",
    "source_ohms": "resistance in each plate",
    "dc_volts": "direct volts",
    "dc_amps": "direct current",
    "hertz": "mains",
}


def describe_library(library: Library) -> str:
    """Every tube, diode and region the library has, one line each."""
    lines = ["Tubes"]
    rows = []
    for name in library.tube_names():
        tube = library.tube(name)
        if tube is not None:
            heater = tube.heaters[0] if tube.heaters else None
            fed = f"{show_volts(heater.volts)} {show_amps(heater.amps)}" if heater else ""
            rows.append((tube.name, tube.kind, fed, tube.base.name, ", ".join(tube.aliases) + (" (own part)" if tube.user else "")))
    lines += _table(rows)
    lines += ["", "Diodes"]
    diodes = [d for name in library.diode_names() if (d := library.diode(name)) is not None]
    rows = [
        (d.name, show_volts(d.repetitive_reverse_volts.value), show_amps(d.average_amps.value), "own part" if d.user else "")
        for d in diodes
    ]
    lines += _table(rows)
    lines += ["", "Regions"]
    regions = [r for code in library.region_codes() if (r := library.region(code)) is not None]
    lines += _table(
        [
            (r.code, r.name, f"{r.nominal_volts.value:g} V", f"{r.hertz.value:g} Hz" if r.hertz else "50 or 60 Hz, the spec must say which")
            for r in regions
        ]
    )
    lines += ["", "`humdinger parts NAME` shows one of them with the source of every number."]
    return "\n".join(lines) + "\n"


def describe_tube(tube: TubeType, sources: Mapping[str, str] | None = None) -> str:
    """All there is about a tube. With `sources` the tags used are spelled out at the end."""
    used: dict[str, None] = {}
    head = (
        f"{tube.name}: {tube.kind}" + (f", also {', '.join(tube.aliases)}" if tube.aliases else "") + (" (own part)" if tube.user else "")
    )
    lines = [head, *_wrapped(tube.note, "  "), "", "Base and pins"]
    lines += [
        f"  {tube.base.name}, {tube.base.pins} pins"
        + (f", basing {tube.eia_base}" if tube.eia_base else "")
        + f"  {_tag(tube.pins_source, used)}"
    ]
    lines += _pins(tube)
    lines += ["", "Heater"]
    for heater in tube.heaters:
        sides = f"pin {_joined(heater.side_a_pins)} against {_joined(heater.side_b_pins)}"
        tap = f", centre tap pin {_joined(heater.centre_tap_pins)}" if heater.centre_tap_pins else ""
        lines.append(f"  {show_volts(heater.volts)} at {show_amps(heater.amps)}, {sides}{tap}  {_tag(heater.source, used)}")
    if tube.cathode_is_heater:
        lines.append("  the B+ is taken from a heater pin")
    if tube.is_rectifier:
        lines.append(
            "  directly heated: full B+ within seconds" if tube.warm_up == "direct" else "  indirectly heated: the B+ rises slowly"
        )
    for title, sections in _grouped(tube):
        lines += _section(title, sections, used)
    lines += _envelope(tube.envelope, used)
    if sources is not None:
        lines += ["", "Sources"]
        for tag in used:
            lines += _wrapped(f"[{tag}] {sources.get(tag, 'as the parts file says')}", "  ", "    ")
    return "\n".join(lines) + "\n"


def describe_diode(diode: DiodeType, sources: Mapping[str, str] | None = None) -> str:
    """All there is about a diode."""
    used: dict[str, None] = {}
    rows = (
        ("reverse, repetitive", show_volts(diode.repetitive_reverse_volts.value), diode.repetitive_reverse_volts),
        ("forward, average", show_amps(diode.average_amps.value), diode.average_amps),
        ("forward, one surge", show_amps(diode.surge_amps.value), diode.surge_amps),
        ("saturation current of the law", show_amps(diode.saturation_amps.value), diode.saturation_amps),
        ("emission coefficient of the law", f"{diode.emission.value:g}", diode.emission),
    )
    lines = [f"{diode.name}: silicon diode" + (" (own part)" if diode.user else "")]
    lines += _table([(name, text, _tag(cited.source, used)) for name, text, cited in rows])
    if sources is not None:
        lines += ["", "Sources"]
        for tag in used:
            lines += _wrapped(f"[{tag}] {sources.get(tag, 'as the parts file says')}", "  ", "    ")
    return "\n".join(lines) + "\n"


def _grouped(tube: TubeType) -> list[tuple[str, list[Section]]]:
    """Sections that say the same are shown once."""
    groups: list[tuple[str, list[Section]]] = []
    for section in tube.sections:
        for _, members in groups:
            first = members[0]
            if (first.ratings, first.points, first.model, first.rectifier) == (
                section.ratings,
                section.points,
                section.model,
                section.rectifier,
            ):
                members.append(section)
                break
        else:
            groups.append(("", [section]))
    many = len(tube.sections) > 1
    return [
        (f"Section{'s' if len(m) > 1 else ''} {' and '.join(s.name for s in m)}, {m[0].kind}" if many else m[0].kind.capitalize(), m)
        for _, m in groups
    ]


def _section(title: str, sections: list[Section], used: dict[str, None]) -> list[str]:
    section = sections[0]
    lines = ["", title]
    for ratings in section.ratings:
        lines += _ratings(ratings, used)
    if section.rectifier:
        lines += _rectifier(section.rectifier, used)
    for s in sections:
        parts = (("grid to plate", s.grid_plate_farads), ("input", s.input_farads), ("output", s.output_farads))
        known = [f"{name} {show_farads(c.value)} {_tag(c.source, used)}" for name, c in parts if c]
        if known:
            lines.append(f"  capacitances{f' of section {s.name}' if s.name else ''}: {', '.join(known)}")
    if section.points:
        lines.append("  published operation (a source covers the numbers before it)")
        for point in section.points:
            lines += _point(point, used)
    lines += _model(section.model, used)
    return lines


def _ratings(ratings: RatingSet, used: dict[str, None]) -> list[str]:
    variant = (
        f" of the {ratings.variant}"
        if ratings.variant and ratings.variant[0].isdigit()
        else f", {ratings.variant}"
        if ratings.variant
        else ""
    )
    lines = [f"  limits, {ratings.system}{variant}"]
    lines += _limits(((key, getattr(ratings, key)) for key in RATING_KEYS), used)
    return lines + _wrapped(ratings.grid_leak_note, "    ") + _wrapped(ratings.note, "    ")


def _rectifier(ratings: RectifierRatings, used: dict[str, None]) -> list[str]:
    lines = ["  limits"]
    lines += _limits(((key, getattr(ratings, key)) for key in RECTIFIER_KEYS), used)
    for table in RECTIFIER_TABLES:
        rows = getattr(ratings, table)
        if rows:
            source = (ratings.table_sources or {}).get(table, ratings.source)
            text = ", ".join(f"{volts:g} V {_show(table.removesuffix('_by_volts'), value)}" for volts, value in rows.items())
            lines.append(f"    {_RATING_WORDS[table]}: {text}  {_tag(source, used)}")
    return lines


def _limits(rows: Iterable[tuple[str, Cited | None]], used: dict[str, None]) -> list[str]:
    return _table([(_words(key), _show(key, c.value), _tag(c.source, used)) for key, c in rows if c is not None], "    ")


def _point(point: OperatingPoint, used: dict[str, None]) -> list[str]:
    """One published operation; a source tag covers the numbers before it."""
    tubes = "" if point.tubes == 1 else ", two tubes together" if point.tubes == 2 else f", {point.tubes} tubes together"
    values, sources = point.values or {}, point.sources or {}
    keys = [key for key in POINT_KEYS if key in values]
    cells = []
    for key, following in zip(keys, [*keys[1:], None], strict=True):
        source = sources.get(key, point.source)
        last = following is None or sources.get(following, point.source) != source
        cells.append(f"{_POINT_WORDS.get(key) or _words(key)} {_show(key, values[key])}" + (f" {_tag(source, used)}" if last else ""))
    text = f"{point.kind}{tubes}: " + ", ".join(cells) + (f" ({point.note})" if point.note else "")
    return _wrapped(text, "    - ", "      ")


def _model(model: TubeModel | None, used: dict[str, None]) -> list[str]:
    if model is None:
        return ["  no model: nothing can be computed for it"]
    fitted = ", ".join(f"{name} {value:g}" for name, value in model.parameters.items() if name not in model.estimated)
    guessed = ", ".join(f"{name} {model.parameters[name]:g}" for name in model.estimated)
    text = f"model, {model.law} law: {fitted} {_tag(model.source, used)}" + (f", {guessed} {_tag('own-estimate', used)}" if guessed else "")
    lines = _wrapped(text, "  ", "    ")
    return lines + _wrapped(f"verdict: {model.verdict}" if model.verdict else "", "    ")


def _envelope(envelope: Envelope, used: dict[str, None]) -> list[str]:
    sizes = (("diameter", envelope.diameter_mm), ("height above the socket", envelope.seated_mm), ("height overall", envelope.overall_mm))
    rows = [(name, f"{c.value:g} mm", _tag(c.source, used)) for name, c in sizes if c]
    if not rows:
        return []
    head = "Size, largest" + (f" (bulb {envelope.bulb})" if envelope.bulb else "")
    return ["", head, *_table(rows), *_wrapped(envelope.note, "  ")]


def _pins(tube: TubeType) -> list[str]:
    names: dict[int, list[str]] = {}
    for section in tube.sections:
        for electrode, pins in section.pins.items():
            for pin in pins:
                names.setdefault(pin, []).append(f"{electrode} {section.name}".strip())
    for heater in tube.heaters:
        for pin in (*heater.side_a_pins, *heater.side_b_pins, *heater.centre_tap_pins):
            if "heater" not in names.setdefault(pin, []):
                names[pin].append("heater")
    for pins, text in (
        (tube.internal_pins, "internal connection, leave free"),
        (tube.unconnected_pins, "not connected"),
        (tube.shield_pins, "shield, see the note"),
    ):
        for pin in pins:
            names.setdefault(pin, []).append(text)
    return [f"  {pin}  {', '.join(names.get(pin, ['missing']))}" for pin in range(1, tube.base.pins + 1)]


def _show(key: str, value: float) -> str:
    for word, show in _SHOW:
        if word in key:
            return show(value)
    return f"{value:g}"


def _words(key: str) -> str:
    if key in _RATING_WORDS:
        return _RATING_WORDS[key]
    for unit in ("_volts", "_amps", "_watts", "_ohms", "_farads", "_percent"):
        key = key.replace(unit, "")
    return key.replace("_rms", ", rms").replace("_max_signal", " at full drive").replace("_", " ")


def _tag(source: str, used: dict[str, None]) -> str:
    used[source] = None
    return f"[{source}]"


def _joined(pins: tuple[int, ...]) -> str:
    return " + ".join(str(p) for p in pins)


def _wrapped(text: str, first: str, rest: str | None = None) -> list[str]:
    if not text:
        return []
    lines, line = [], first
    for word in text.split():
        if len(line) + 1 + len(word) > WIDTH and line.strip(" -"):
            lines.append(line)
            line = first if rest is None else rest
        line += word if line in (first, rest) else f" {word}"
    return [*lines, line]


def _table(rows: list[tuple[str, ...]], indent: str = "  ") -> list[str]:
    if not rows:
        return []
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return [(indent + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True))).rstrip() for row in rows]
