"""Tubes: their types, and who uses which section for what."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from ..diagnostics import Severity
from ..records import record
from ..units.values import SectionName
from . import words
from .design import BoundTube
from .model import POISON, Block, Field
from .report import Report

if TYPE_CHECKING:
    from ..parts.library import Library

Tubes = Mapping[str, BoundTube | None]
"""Designator -> bound tube; None when its type was reported as unknown."""


PAIRS = ("long-tailed-pair", "paraphase", "floating-paraphase")
"""Kinds that work with two triode sections."""


@record
class Use:
    """A place that names a tube or a section of one; who: for a message.

    job: "triode", "pentode", "pair" (a whole twin), "power" or "rectifier".
    """

    at: Field
    name: SectionName
    job: str
    who: str


def bind(root: Block, library: Library, report: Report) -> Tubes:
    """The tubes of the spec with their types."""
    found: dict[str, BoundTube | None] = {}
    for ref, field in root.block("tubes"):
        found[ref] = None
        if field.value is POISON:
            continue
        kind = library.tube(field.value)
        if kind is None:
            report.unknown("NAM-001", "unknown-tube-type", field, "is no tube type of the parts library", library.tube_names(aliases=True))
        else:
            found[ref] = BoundTube(ref, kind, field.span, field.path)
    return found


def uses(root: Block) -> Iterator[Use]:
    """Every place of the spec that names a tube, in signal order."""
    for stage in root.blocks("signal"):
        kind = stage.get("stage")
        job = "pair" if kind in PAIRS else "pentode" if kind == "pentode-gain" else "triode"
        for item in stage.items("tube"):
            if isinstance(item.value, SectionName):
                whole = job == "pair" and not item.value.section and len(stage.items("tube")) == 1
                yield Use(item, item.value, "triode" if job == "pair" and not whole else job, f"{words.article(str(kind))} {kind} stage")
    for item in root.block("output").items("tubes"):
        if isinstance(item.value, str):
            yield Use(item, SectionName(item.value, ""), "power", "the output stage")
    modulation = root.block("modulation")
    for block, who in ((modulation.block("oscillator"), "the oscillator"), (modulation.block("injection").block("follower"), "a follower")):
        for item in block.items("tube"):
            if isinstance(item.value, SectionName):
                yield Use(item, item.value, "triode", who)
    rectifier = root.block("supply").block("rectifier").field("tube")
    if rectifier and isinstance(rectifier.value, str):
        yield Use(rectifier, SectionName(rectifier.value, ""), "rectifier", "the rectifier")


def check_uses(root: Block, tubes: Tubes, report: Report) -> None:
    """Tubes and sections exist, suit their job, and work in one place only."""
    if not tubes:
        return
    first: dict[SectionName, Field] = {}
    for use in uses(root):
        for section in _taken(root, use, tubes, report):
            before = first.setdefault(section, use.at)
            if before is not use.at:
                message = f"{section.tube}{section.section} is used twice"
                helps = _instead(root, use, tubes)
                report.error("NAM-005", "section-used-twice", message, use.at.span, others=[(before.span, "used here first")], helps=helps)
    for key, field in root.block("unused"):
        name = SectionName(key[:-1], key[-1:])
        span = field.key_span or field.span
        bound = tubes.get(name.tube)
        if name.tube not in tubes or (bound and bound.type.section(name.section) is None):
            known = [f"{ref}{s.name}" for ref, tube in tubes.items() if tube for s in tube.type.sections if s.name]
            report.unknown(
                "NAM-003", "unknown-section", Field(field.path, key, span, span, key), "is no section of a tube of this amp", known
            )
        elif name in first:
            message = f"{key} is listed under `unused`, but it is used"
            report.error(
                "NAM-017", "unused-in-use", message, span, others=[(first[name].span, "used here")], helps=["take it out of `unused`"]
            )


def _instead(root: Block, use: Use, tubes: Tubes) -> list[str]:
    """What could do the job of a section that is taken, or of a tube of the wrong kind: by the names that nothing else uses."""
    named = [other.name for other in uses(root)]
    whole = {name.tube for name in named if not name.section}
    taken = {(name.tube, name.section) for name in named}
    free: list[str] = []
    for ref, bound in tubes.items():
        if bound is None or ref in whole:
            continue
        triodes = [f"{ref}{s.name}" for s in bound.type.sections if s.kind == "triode" and (ref, s.name) not in taken]
        if use.job == "triode":
            free += triodes
        elif use.job == "pentode":
            free += [f"{ref}{s.name}" for s in bound.type.sections if s.kind == "pentode" and (ref, s.name) not in taken]
        elif ref in {name.tube for name in named}:
            continue
        elif {"pair": len(triodes) == 2, "power": bound.type.is_power, "rectifier": bound.type.is_rectifier}[use.job]:
            free.append(ref)
    if free:
        return [f"free for it: {words.listed(free)}"]
    kind = {"triode": "12AX7", "pentode": "EF86", "pair": "12AX7", "power": "6V6GT", "rectifier": "GZ34"}[use.job]
    taken_refs = {int(ref[1:]) for ref in tubes if re.fullmatch(r"V[0-9]+", ref)}
    return [f"no tube of the amp is free for it: add one under `tubes`, for instance V{max(taken_refs, default=0) + 1}: {kind}"]


def warn_idle(root: Block, tubes: Tubes, report: Report) -> None:
    """Tubes that no place of the spec names."""
    named = {use.name.tube for use in uses(root)} | {key[:-1] for key, _ in root.block("unused")}
    for ref, bound in tubes.items():
        if bound and ref not in named:
            message = f"{ref} is listed, but no part of the amp uses it"
            report.error(
                "NAM-018",
                "idle-tube",
                message,
                bound.span,
                severity=Severity.WARNING,
                helps=["use a section of it in a stage, or take it out"],
            )


def _taken(root: Block, use: Use, tubes: Tubes, report: Report) -> list[SectionName]:
    """The sections a use takes; none when it is at fault."""
    name = use.name
    if name.tube not in tubes:
        if any(not re.fullmatch(r"V[0-9]+", ref) for ref in tubes):
            return []  # a name under `tubes` was reported; it may be this one
        at = Field(use.at.path, name.tube, use.at.span, None, name.tube)
        report.unknown("NAM-002", "unknown-tube", at, "is not listed under `tubes`", tubes, several="listed are")
        return []
    bound = tubes[name.tube]
    if bound is None:
        return []
    if use.job == "pair":
        return _pair(use, bound, report, _instead(root, use, tubes))
    if use.job in ("power", "rectifier"):
        return _whole(use, bound, report, _instead(root, use, tubes))
    section = bound.type.section(name.section)
    names = [s.name for s in bound.type.sections]
    if not any(s.kind == use.job for s in bound.type.sections):
        _wrong_kind(use, bound, f"a {use.job} section", report, _instead(root, use, tubes))
        return []
    if section is None:
        have = [f"{name.tube}{s}" for s in names]
        message = (
            f"{name.tube} is {words.article(bound.type.name)} {bound.type.name}, which has no section {name.section}"
            if name.section
            else f"{name.tube} has {len(have)} sections: say which"
        )
        if names == [""]:
            message = f"{name.tube} is {words.article(bound.type.name)} {bound.type.name}, which has one section without a letter"
        report.error("NAM-003", "unknown-section", message, use.at.span, helps=[f"write {words.alternatives(have)}"])
        return []
    if section.kind != use.job:
        _wrong_kind(use, bound, f"a {use.job} section", report, _also(bound, use.job) or _instead(root, use, tubes))
        return []
    return [name]


def _pair(use: Use, bound: BoundTube, report: Report, helps: list[str]) -> list[SectionName]:
    triodes = [s for s in bound.type.sections if s.kind == "triode"]
    if len(triodes) != 2:
        _wrong_kind(use, bound, "a twin triode", report, helps)
        return []
    return [SectionName(bound.ref, s.name) for s in triodes]


def _whole(use: Use, bound: BoundTube, report: Report, helps: list[str]) -> list[SectionName]:
    power = use.job == "power"
    if not (bound.type.is_power if power else bound.type.is_rectifier):
        _wrong_kind(use, bound, "a power tube" if power else "a rectifier tube", report, helps)
        return []
    return [SectionName(bound.ref, s.name) for s in bound.type.sections if s.kind == ("pentode" if power else "rectifier")]


def _wrong_kind(use: Use, bound: BoundTube, wanted: str, report: Report, helps: list[str]) -> None:
    kind = bound.type.kind
    message = f"{use.at.text} is {words.article(bound.type.name)} {bound.type.name}, {words.article(kind)} {kind}; {use.who} takes {wanted}"
    report.error("NAM-004", "wrong-kind-of-tube", message, use.at.span, others=[(bound.span, bound.type.name)], helps=helps)


def _also(bound: BoundTube, kind: str) -> list[str]:
    found = [f"{bound.ref}{s.name}" for s in bound.type.sections if s.kind == kind]
    return [f"its {kind} is {words.alternatives(found)}"] if found else []
