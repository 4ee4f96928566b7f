"""Names a builder gives: stages, B+ nodes, taps, windings, controls, pinned designators."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ..diagnostics import Span
from ..units.values import Capacitance, Potentiometer, Quantity, Resistance
from . import words
from .model import Block, Field
from .report import Report

SECTION_IDS = (
    "output", "bias", "oscillator", "injection", "feedback", "presence", "speaker", "line-out", "mains", "transformer", "rectifier",
    "filter", "heaters", "grounding", "unused", "signal",
)  # fmt: skip
"""Names the compiler gives to the other sections of the amp; a stage of the same name would share their nets."""

WITHOUT_CATHODE = (
    "input", "volume", "master-volume", "bass-cut", "two-knob-tone", "three-knob-tone", "treble-cut", "effects-loop", "network", "mixer",
    "optical-cell",
)  # fmt: skip
"""Stage kinds feedback cannot enter."""

WITH_CATHODE = ("common-cathode", "pentode-gain")
"""Stage kinds whose cathode the tremolo can move."""

CONTROLS = {
    "volume": (("control", "VOLUME", "pot"),),
    "master-volume": (("control", "MASTER", "pot"),),
    "bass-cut": (("control", "BASS", "pot"),),
    "two-knob-tone": (("bass_control", "BASS", "bass"), ("treble_control", "TREBLE", "treble")),
    "three-knob-tone": (
        ("treble_control", "TREBLE", "treble"),
        ("bass_control", "BASS", "bass"),
        ("middle_control", "MIDDLE", "middle"),
    ),
    "treble-cut": (("control", "TONE", "pot"),),
    "feedback-tone": (("bass_control", "BASS", "bass"), ("treble_control", "TREBLE", "treble")),
}
"""Stage kind -> (key of the panel name, name when the key is absent, key of the pot)."""


def check(root: Block, report: Report) -> None:
    """Every name that is not a tube's, a diode's or the region's."""
    _stages(root, report)
    _nodes(root, report)
    _taps(root, report)
    _windings(root, report)
    _controls(root, report)
    _pins(root, report)


def _stages(root: Block, report: Report) -> None:
    """Ids are given once; `from` and `feedback.to` name stages that are there."""
    stages = root.blocks("signal")
    ids = [stage.get("id") for stage in stages]
    whole = bool(ids) and len(ids) == len(root.items("signal")) and all(isinstance(name, str) for name in ids)
    seen: dict[str, Field] = {}
    for stage in stages:
        for block in (stage, *stage.blocks("inputs")) if whole else ():
            _fed_from(block, seen, ids, report)
        field = stage.field("id")
        if field is None or not isinstance(field.value, str):
            continue
        name = field.value
        if name in seen:
            others = [(seen[name].span, "the first one")]
            report.error(
                "NAM-008", "id-used-twice", f"two stages have the id {name}", field.span, others=others, helps=["change one of them"]
            )
        elif name in SECTION_IDS:
            message = f"the id {name} is the compiler's own name for another section"
            report.error("NAM-020", "reserved-id", message, field.span, helps=["give the stage another id"])
        seen.setdefault(name, field)
    if whole:
        _feedback(root, ids, report)
        _moved(root, ids, report)


def _feedback(root: Block, ids: list[str], report: Report) -> None:
    target = root.block("feedback").field("to")
    if target is None or not isinstance(target.value, str):
        return
    kind = next((stage.get("stage") for stage in root.blocks("signal") if stage.get("id") == target.value), None)
    if target.value not in ids:
        report.unknown("NAM-007", "unknown-stage-id", target, "is the id of no stage", ids, several="the stages are")
    elif kind in WITHOUT_CATHODE:
        message = f"feedback enters at a cathode, and {target.value} is {words.article(kind)} {kind} stage"
        helps = ["name the stage whose cathode takes the feedback"]
        report.error("NAM-021", "feedback-without-cathode", message, target.span, helps=helps)


def _moved(root: Block, ids: list[str], report: Report) -> None:
    """The stage whose cathode the tremolo moves, or whose cell it lights; every cell is lit."""
    injection = root.block("modulation").block("injection")
    target = injection.field("stage")
    point = injection.get("point")
    kinds = {str(stage.get("id")): str(stage.get("stage")) for stage in root.blocks("signal")}
    lit = target.value if target and point == "optical" else None
    for stage in root.blocks("signal"):
        if stage.get("stage") == "optical-cell" and stage.get("id") != lit:
            message = f"no tremolo lights the cell of {stage.get('id')}"
            helps = [f"injection: {{point: optical, stage: {stage.get('id')}, follower: ...}}"]
            report.error("NAM-025", "cell-without-light", message, stage.span_of("id"), helps=helps)
    if target is None or not isinstance(target.value, str) or point not in ("preamp-cathode", "optical"):
        return
    if target.value not in ids:
        report.unknown("NAM-007", "unknown-stage-id", target, "is the id of no stage", ids, several="the stages are")
    elif point == "optical":
        if kinds[target.value] != "optical-cell":
            message = f"this tremolo lights a cell, and {target.value} is {words.article(kinds[target.value])} {kinds[target.value]} stage"
            report.error("NAM-024", "no-cell-to-light", message, target.span, helps=["put a stage of kind optical-cell into the signal"])
    elif kinds[target.value] not in WITH_CATHODE:
        kind = kinds[target.value]
        message = f"this tremolo moves the cathode of a gain stage, and {target.value} is {words.article(kind)} {kind} stage"
        known = [name for name, found in kinds.items() if found in WITH_CATHODE]
        helps = [f"name a common-cathode or pentode-gain stage: {words.listed(known)}"] if known else ["choose another point"]
        report.error("NAM-023", "tremolo-without-cathode", message, target.span, helps=helps)


def _fed_from(stage: Block, before: dict[str, Field], ids: list[str], report: Report) -> None:
    source = stage.field("from")
    if source is None or not isinstance(source.value, str) or source.value in before:
        return
    if source.value in ids:
        message = f"'{source.value}' does not stand before this stage, so it cannot feed it"
        report.error("NAM-007", "unknown-stage-id", message, source.span, helps=["put the stages in the order the signal takes"])
    else:
        report.unknown("NAM-007", "unknown-stage-id", source, "is the id of no stage", before, several="the stages before it are")


def _nodes(root: Block, report: Report) -> None:
    """B+ nodes are named once, and whoever names one names one that is there."""
    rows = root.block("supply").blocks("filter")
    seen: dict[str, Field] = {}
    for row in rows:
        field = row.field("node")
        if field is None or not isinstance(field.value, str):
            return  # reported before; any node named elsewhere may be this one
        if field.value in seen:
            others = [(seen[field.value].span, "the first one")]
            report.error("NAM-012", "node-named-twice", f"two nodes are called {field.value}", field.span, others=others)
        seen.setdefault(field.value, field)
    if not seen:
        return
    wanted = [_by_key(key, field) for key, field in root.block("performance").block("b_plus_target")]
    for field in (*_node_users(root), *wanted):
        if isinstance(field.value, str) and field.value not in seen:
            report.unknown("NAM-006", "unknown-node", field, "is no node of supply/filter", seen, several="the nodes are")


def _by_key(key: str, field: Field) -> Field:
    """The key of a field as a field, for a message about the key."""
    span = field.key_span or field.span
    return Field(field.path, key, span, span, key)


def _node_users(root: Block) -> Iterator[Field]:
    modulation = root.block("modulation")
    for stage in root.blocks("signal"):
        for part in stage.blocks("parts"):
            yield from (item for item in part.items("nets") if isinstance(item.value, str) and re.fullmatch("B[0-9]+", item.value))
    blocks = [*root.blocks("signal"), modulation.block("oscillator"), modulation.block("injection").block("follower")]
    for block in blocks:
        yield from block.items("supply")
    for reference in root.block("supply").blocks("heater_reference"):
        yield from reference.block("divider").items("from")


def _taps(root: Block, report: Report) -> None:
    """Speaker and feedback are on a tap the output transformer has."""
    taps = root.block("output").block("transformer").items("taps")
    known = [tap.value.value for tap in taps if isinstance(tap.value, Quantity)]
    if not known or len(known) < len(taps):
        return
    for field, who in ((root.block("speaker").field("tap"), "the speaker"), (root.block("feedback").field("from"), "the feedback")):
        if field and isinstance(field.value, Quantity) and not any(abs(field.value.value - tap) < 1e-6 * tap for tap in known):
            message = f"{who} hangs on a {field.value.value:g} ohm tap, which the output transformer does not have"
            shown = words.listed(f"{tap:g}" for tap in known)
            report.error("NAM-009", "unknown-tap", message, field.span, others=[(_whole(taps), "its taps")], notes=[f"it has {shown} ohm"])


def _whole(fields: tuple[Field, ...]) -> Span:
    """From the first to the last of a list when they share a line, else the first."""
    first, last = fields[0].span, fields[-1].span
    return Span(first.file, first.line, first.column, last.end_line, last.end_column) if first.line == last.end_line else first


def _windings(root: Block, report: Report) -> None:
    """Windings that are named exist; what they feed exists."""
    supply = root.block("supply")
    transformer = supply.block("transformer")
    heaters = transformer.blocks("heaters")
    names = [f"H{number}" for number in range(1, len(heaters) + 1)]
    places = [row.field("winding") for row in supply.blocks("heater_reference")]
    for field in (*places, supply.block("pilot").field("winding")):
        if names and field and isinstance(field.value, str) and field.value not in names:
            report.unknown("NAM-013", "unknown-winding", field, "is no heater winding", names, several="they are counted in order:")
    tubes = [ref for ref, _ in root.block("tubes")]
    for heater in heaters if tubes else ():
        for item in heater.items("feeds"):
            if isinstance(item.value, str) and item.value not in ("all", "rectifier", *tubes):
                report.unknown(
                    "NAM-002", "unknown-tube", item, "is neither all, rectifier nor a tube of this amp", ("all", "rectifier", *tubes)
                )
    for heater in heaters if tubes else ():
        for pair in heater.items("series"):
            for item in pair.value if isinstance(pair.value, tuple) else ():
                if isinstance(item.value, str) and item.value not in tubes:
                    report.unknown("NAM-002", "unknown-tube", item, "is no tube of this amp", tuple(tubes))
    bias = root.block("bias")
    if bias.get("scheme") != "fixed" or not transformer.fields:
        return
    field = bias.field("winding")
    if field and isinstance(field.value, str) and field.value != "bias":
        report.unknown("NAM-013", "unknown-winding", field, "is no winding for the bias", ("bias",))
    elif "bias" not in transformer:
        message = "fixed bias comes from a bias winding, which the power transformer does not have"
        report.error(
            "NAM-013",
            "unknown-winding",
            message,
            field.span if field else bias.span,
            others=[(transformer.span, "no `bias` here")],
            helps=["add `bias:` to supply/transformer, or use cathode bias"],
        )


def _controls(root: Block, report: Report) -> None:
    """Each control has a panel name of its own, and default positions are given for controls that are there."""
    seen: dict[str, Span] = {}
    for name, span in _panel(root):
        if name in seen:
            helps = ["give one of them another name with its `control` key"]
            others = [(seen[name], "the first one")]
            report.error("NAM-014", "control-named-twice", f"two controls are called {name}", span, others=others, helps=helps)
        seen.setdefault(name, span)
    # A stage or a bias of unknown kind may have the control.
    known = all(stage.get("stage") for stage in root.blocks("signal")) and root.block("bias").get("scheme")
    for key, field in root.block("controls"):
        if known and key not in seen:
            at = _by_key(key, field)
            report.unknown("NAM-015", "unknown-control", at, "is no control of this amp", seen, several="the controls are")


def _panel(root: Block) -> Iterator[tuple[str, Span]]:
    """Panel names in signal order, with what to underline."""
    for stage in root.blocks("signal"):
        for key, usual, pot in CONTROLS.get(str(stage.get("stage")), ()):
            if pot in stage:
                yield str(stage.get(key, usual)), stage.span_of(key if key in stage else pot)
        for key, usual in (("send", "SEND LEVEL"), ("return", "RETURN LEVEL")):
            level = stage.block(key)
            if "pot" in level:
                yield str(level.get("control", usual)), level.span_of("control" if "control" in level else "pot")
        for part in stage.blocks("parts"):
            if isinstance(name := part.get("control"), str):
                yield name, part.span_of("control")
    adjustment = root.block("bias").block("range").field("pot")
    if adjustment:
        yield "BIAS", adjustment.span
    presence = root.block("feedback").block("presence")
    if "pot" in presence:
        yield str(presence.get("control", "PRESENCE")), presence.span_of("control" if "control" in presence else "pot")
    line = root.block("speaker").block("line_out")
    if "pot" in line:
        yield str(line.get("control", "LINE LEVEL")), line.span_of("control" if "control" in line else "pot")
    knobs = root.block("modulation").block("controls")
    for key, usual in (("speed", "SPEED"), ("intensity", "INTENSITY")):
        knob = knobs.block(key)
        if key in knobs:
            yield str(knob.get("control", usual)), knob.span_of("control" if "control" in knob else "pot")


def _pins(root: Block, report: Report) -> None:
    """Pinned designators belong to parts of the spec and are given once."""
    pinned = root.block("refs").fields
    if not pinned:
        return
    values = dict(_values(root))
    parts = [path for path, value in values.items() if isinstance(value, Resistance | Capacitance | Potentiometer)]
    seen: dict[str, Span] = {}
    for path, field in pinned:
        # The compiler adds /a, /b to a value that stands for two parts, so one step further is fine.
        if path not in values and path.rpartition("/")[0] not in parts:
            report.unknown("NAM-016", "unknown-part", _by_key(path, field), "leads to no part of the spec", parts)
        if isinstance(field.value, str):
            if field.value in seen:
                others = [(seen[field.value], "the first one")]
                report.error("NAM-022", "designator-twice", f"{field.value} is given to two parts", field.span, others=others)
            seen.setdefault(field.value, field.span)


def _values(block: Block) -> Iterator[tuple[str, object]]:
    """Every path of the spec with what stands there."""
    for _, field in block.fields:
        yield from _value(field)


def _value(field: Field) -> Iterator[tuple[str, object]]:
    yield field.path, field.value
    if isinstance(field.value, Block):
        yield from _values(field.value)
    elif isinstance(field.value, tuple):
        for item in field.value:
            yield from _value(item)
