"""Data of a tube type (plain dicts, lists, numbers, texts) -> the types of parts/model.py.

One reader serves the built-in files and a builder's own parts, so both have the same keys (schemas/library.schema.json).
A number is bare (the nearest `source:` above it covers it) or a pair `[value, source]`; its unit stands in the key
(`plate_milliamps`, `grid_leak_fixed_megohms`). Whatever is wrong is collected as a Fault, with the path of the place; nothing raises.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from ..records import replace
from .block import Block, Fault, Path, canonical, place, to_number
from .model import (
    Base,
    Cited,
    Envelope,
    HeaterConnection,
    OperatingPoint,
    RatingSet,
    RectifierRatings,
    Section,
    TubeModel,
    TubeType,
)

TUBE_KINDS = ("twin triode", "power pentode", "beam tetrode", "small pentode", "triode-pentode", "rectifier")
SECTION_KINDS = ("triode", "pentode", "rectifier")
SYSTEMS = ("design-centre", "design-max", "absolute")
WARM_UPS = ("indirect", "direct")
ELECTRODES = {
    "triode": ("plate", "grid", "cathode"),
    "pentode": ("plate", "screen", "grid", "cathode"),
    "rectifier": ("plate1", "cathode"),
}
OPTIONAL_ELECTRODES = {"triode": (), "pentode": ("suppressor",), "rectifier": ("plate2",)}
SECTION_KEYS = {"": "only"}
"""What a section without a name is called in the files: YAML has no empty keys here."""
_NAMES = {key: name for name, key in SECTION_KEYS.items()}
MOST_PINS = 9
"""Of any base; stands in for a base that is not known, so that one slip gives one message."""
SECTION_NAMES = {"twin triode": ("a", "b"), "triode-pentode": ("t", "p")}

LAW_PARAMETERS = {
    "triode": ("mu", "ex", "kg1", "kp", "kvb", "vct"),
    "pentode": ("mu", "ex", "kg1", "kg2", "kp", "kvb", "beta", "slope", "slope_volts"),
    "rectifier": ("perveance",),
}
MODEL_KEYS = ("law", "source", "verdict", "estimated", "parameters")
"""What the compiler reads of a model file; the rest is the record of the fit."""
PARAMETER_DEFAULTS = {"vct": 0.0, "slope": 0.0, "slope_volts": 0.0}
"""Parameters that published sets of the common form do not have; these values leave the law in that form."""

RATING_KEYS = (
    "plate_volts", "plate_cutoff_volts", "screen_volts", "screen_cutoff_volts", "plate_watts", "plate_max_signal_watts",
    "screen_watts", "screen_peak_watts", "total_watts", "both_plates_watts", "cathode_amps", "heater_cathode_positive_volts",
    "heater_positive_volts", "heater_positive_dc_volts", "grid_leak_fixed_ohms", "grid_leak_cathode_ohms",
    "grid_leak_derate_watts", "grid_leak_fixed_derated_ohms", "grid_leak_cathode_derated_ohms",
)  # fmt: skip
RECTIFIER_KEYS = (
    "peak_inverse_volts", "peak_plate_amps", "dc_amps", "plate_volts_rms", "plate_volts_rms_choke", "first_capacitor_farads",
    "source_ohms", "heater_cathode_volts",
)  # fmt: skip
RECTIFIER_TABLES = ("dc_amps_by_volts", "source_ohms_by_volts")
POINT_KEYS = (
    "supply_volts", "plate_volts", "screen_volts", "screen_supply_volts", "suppressor_volts", "grid_volts", "cutoff_grid_volts",
    "cathode_ohms", "common_cathode_ohms", "screen_series_ohms", "plate_load_ohms", "next_grid_ohms", "plate_amps",
    "plate_amps_max_signal", "screen_amps", "screen_amps_max_signal", "cathode_amps", "transconductance", "plate_ohms", "mu",
    "mu_screen", "load_ohms", "load_plate_to_plate_ohms", "output_watts", "distortion_percent", "drive_peak_volts",
    "drive_volts_rms", "gain", "output_volts_rms", "plate_drop_volts", "plate_volts_rms", "capacitor_farads", "source_ohms",
    "dc_amps", "dc_volts", "hertz",
)  # fmt: skip


def read_tube(
    name: str,
    data: Any,
    faults: list[Fault],
    bases: Callable[[str], Base | None],
    base_names: Callable[[], tuple[str, ...]],
    models: Callable[[str], Any],
    aliases: tuple[str, ...] = (),
    path: Path = (),
    user: bool = False,
    model_name: str = "",
) -> TubeType | None:
    """A tube type; None when there are no bases to check pins against. `models` gives a model's raw data or None.

    model_name: the model of a section that names none (of a triode-pentode with -t or -p after it); the tube's own name when empty.
    """
    block = Block(data, path, faults)
    kind = block.choice("kind", TUBE_KINDS)
    base_name = block.choice("base", base_names())
    base = bases(base_name)
    if base is None:
        return None
    if base.name != block.text("base"):
        base = replace(base, pins=MOST_PINS)
    block.raw("name")
    block.raw("like")
    each = block.block("each_section")
    each_used: set[str] = set()
    held = block.block("sections")
    sections = tuple(
        read_section(model_name or name, kind, _NAMES.get(key, key), held.block(key), each, each_used, base, models) for key in held.data
    )
    for key in each.data:
        if key != "source" and canonical(str(key))[0] not in each_used:
            each.fault((key,), "SCH-066", f"unknown key '{key}' in {place(each.path)}")
    if not sections:
        block.fault((), "SCH-063", f"{name} has no sections")
    wanted = SECTION_NAMES.get(kind, ("",))
    if sections and tuple(sorted(s.name for s in sections)) != tuple(sorted(wanted)):
        block.fault(("sections",), "SCH-064", f"the sections of a {kind} are named {' and '.join(SECTION_KEYS.get(w, w) for w in wanted)}")
    heaters = tuple(h for h in (_read_heater(b, base.pins) for b in block.blocks("heaters")) if h is not None)
    if "heaters" not in block:
        block.fault((), "SCH-063", f"{name} has no heaters")
    tube = TubeType(
        name=name,
        kind=kind,
        aliases=aliases or block.texts("aliases"),
        base=base,
        eia_base=block.text("eia_base"),
        heaters=heaters,
        sections=tuple(sorted(sections, key=lambda s: wanted.index(s.name) if s.name in wanted else 9)),
        envelope=_read_envelope(block.block("envelope")),
        warm_up=block.choice("warm_up", WARM_UPS, "indirect"),
        cathode_is_heater=block.flag("cathode_is_heater"),
        internal_pins=block.pins("internal_pins", base.pins),
        unconnected_pins=block.pins("unconnected_pins", base.pins),
        shield_pins=block.pins("shield_pins", base.pins),
        note=block.text("note"),
        pins_source=block.text("pins_source") or block.source,
        user=user,
    )
    block.raw("aliases")
    block.done()
    _check_pins(tube, block)
    return tube


def read_section(
    tube: str,
    tube_kind: str,
    name: str,
    own: Block,
    each: Block,
    each_used: set[str],
    base: Base,
    models: Callable[[str], Any],
) -> Section:
    """One section: what it says itself, and from `each_section` what it does not say."""

    def pick(key: str) -> Block:
        if key in own or key not in each:
            return own
        each_used.add(key)
        return each

    kind = pick("kind").choice("kind", SECTION_KINDS)
    pins_block = pick("pins").block("pins")
    wanted = ELECTRODES[kind]
    pins = {e: pins_block.pins(e, base.pins) for e in (*wanted, *OPTIONAL_ELECTRODES[kind]) if e in pins_block}
    pins_block.done()
    for electrode in wanted:
        if not pins.get(electrode):
            own.fault((), "SCH-063", f"section {name or 'of ' + tube} has no pin for the {electrode}")
    capacitances: dict[str, Cited] = {}
    for block in (each, own):
        if "capacitances" in block:
            sub = block.block("capacitances")
            sub.raw("note")
            capacitances |= {k: v for k in ("grid_plate_farads", "input_farads", "output_farads") if (v := sub.cited(k))}
            sub.done()
            each_used.add("capacitances")
    ratings = tuple(_read_ratings(b) for b in pick("ratings").blocks("ratings"))
    rectifier = _read_rectifier(pick("rectifier").block("rectifier")) if "rectifier" in pick("rectifier") else None
    points = tuple(read_point(b) for b in pick("points").blocks("points"))
    model = _read_model(tube, tube_kind, name, kind, pick("model"), models)
    own.done()
    return Section(name=name, kind=kind, pins=pins, model=model, ratings=ratings, rectifier=rectifier, points=points, **capacitances)


def read_model(block: Block) -> TubeModel | None:
    """Parameters of a device law; None, with a fault, when one is missing."""
    law = block.choice("law", LAW_PARAMETERS)
    parameters = block.block("parameters")
    values: dict[str, float] = {}
    missing = []
    for name in LAW_PARAMETERS[law]:
        value = parameters.number(name) if name in parameters else PARAMETER_DEFAULTS.get(name)
        if value is not None:
            values[name] = value
        elif name not in parameters:
            missing.append(name)
    if missing:
        parameters.fault((), "SCH-063", f"the {law} law needs {', '.join(missing)}")
    parameters.done()
    if len(values) < len(LAW_PARAMETERS[law]):
        return None
    return TubeModel(law=law, parameters=values, source=block.source, verdict=block.text("verdict"), estimated=block.texts("estimated"))


def _read_model(tube: str, tube_kind: str, section: str, kind: str, block: Block, models: Callable[[str], Any]) -> TubeModel | None:
    value = block.raw("model")
    if isinstance(value, Mapping):
        inline = block.block("model")
        model = read_model(inline)
        inline.done()
        return _of_kind(model, kind, block)
    name = str(value) if value is not None else f"{tube}-{section}" if tube_kind == "triode-pentode" else tube
    data = models(name)
    if data is None:
        if value is not None:
            block.fault(("model",), "NAM-041", f"the library has no model '{name}'")
        return None
    return _of_kind(read_model(Block({k: data[k] for k in MODEL_KEYS if k in data}, (), block.faults)), kind, block)


def _of_kind(model: TubeModel | None, kind: str, block: Block) -> TubeModel | None:
    if model is not None and model.law != kind:
        block.fault(("model",), "SCH-064", f"a {kind} section cannot have a model of the {model.law} law")
        return None
    return model


def _read_ratings(block: Block) -> RatingSet:
    found: dict[str, Any] = {key: block.cited(key) for key in RATING_KEYS}
    ratings = RatingSet(
        system=block.choice("system", SYSTEMS),
        variant=block.text("variant"),
        grid_leak_note=block.text("grid_leak_note"),
        note=block.text("note"),
        **found,
    )
    block.done()
    return ratings


def _read_rectifier(block: Block) -> RectifierRatings:
    found: dict[str, Any] = {key: block.cited(key) for key in RECTIFIER_KEYS}
    sources: dict[str, str] = {}
    for table in RECTIFIER_TABLES:
        if table not in block:
            continue
        scale = canonical(str(block.key(table)))[1] or (lambda x: x)
        rows = block.block(table)
        values: dict[float, float] = {}
        for key in rows.data:
            if key == "source":
                continue
            volts, value = to_number(key), to_number(rows.data[key])
            if volts is None or value is None or volts <= 0 or value <= 0:
                rows.fault((key,), "SCH-061", f"{table} maps volts rms to numbers above 0, not '{key}' to '{rows.data[key]}'")
            else:
                values[volts] = scale(value)
        found[table] = dict(sorted(values.items()))
        sources[table] = rows.source
        if not rows.source:
            rows.fault((), "SCH-065", f"{table} has no source", "write a source: in its block")
    ratings = RectifierRatings(source=block.source, table_sources=sources, **found)
    block.done()
    return ratings


def read_point(block: Block) -> OperatingPoint:
    """A published condition: any of POINT_KEYS, with its kind and a note."""
    cited = {key: c for key in POINT_KEYS if (c := block.cited(key)) is not None}
    tubes = int(block.number("tubes") or 1)
    point = OperatingPoint(
        kind=block.text("kind"),
        source=block.source,
        tubes=tubes,
        values={k: c.value for k, c in cited.items()},
        sources={k: c.source for k, c in cited.items()},
        note=block.text("note"),
    )
    block.done()
    return point


def _read_heater(block: Block, count: int) -> HeaterConnection | None:
    volts, amps = block.cited("volts", True), block.cited("amps", True)
    sides = block.pins("side_a_pins", count), block.pins("side_b_pins", count)
    if "side_a_pins" not in block or "side_b_pins" not in block:
        block.fault((), "SCH-063", "a heater needs side_a_pins and side_b_pins")
    heater = None
    if volts and amps and all(sides):
        name = block.text("name") or f"{volts.value:g} V"
        heater = HeaterConnection(volts.value, amps.value, *sides, name, amps.source, block.pins("centre_tap_pins", count))
    block.done()
    return heater


def _read_envelope(block: Block) -> Envelope:
    sizes = [block.cited(key) for key in ("diameter_mm", "seated_mm", "overall_mm")]
    envelope = Envelope(*sizes, bulb=block.text("bulb"), note=block.text("note"))
    block.done()
    return envelope


def _check_pins(tube: TubeType, block: Block) -> None:
    """No pin may serve two purposes: electrodes of different sections, heater, internal, unconnected and shield pins are kept apart."""
    uses: dict[int, str] = {}
    groups: list[tuple[str, set[int]]] = [
        ("heater", {p for h in tube.heaters for p in (*h.side_a_pins, *h.side_b_pins, *h.centre_tap_pins)})
    ]
    for section in tube.sections:
        electrodes = {p for name, pins in section.pins.items() for p in pins if not (tube.cathode_is_heater and name == "cathode")}
        groups.append((f"section {section.name}".strip(), electrodes))
    groups += [("internal", set(tube.internal_pins)), ("unconnected", set(tube.unconnected_pins)), ("shield", set(tube.shield_pins))]
    for use, pins in groups:
        for pin in sorted(pins):
            if pin in uses:
                block.fault(("sections",), "SCH-067", f"pin {pin} of {tube.name} has two uses, {uses[pin]} and {use}")
            uses[pin] = use
