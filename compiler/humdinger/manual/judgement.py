"""The judgement page: every rule with what it found, the ones that could not be evaluated among them."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from ..circuit.netlist import Netlist
from ..diagnostics import Severity
from ..rules.model import Findings, Judged
from .model import Block, Heading, Link, Page, Paragraph, Row, Run, Table, num, t, txt
from .words import state as state_words

GROUPS = (
    ("fail", "Findings"),
    ("info", "For information"),
    ("not evaluated", "Not evaluated: a datum is missing"),
    ("pass", "Passed"),
)
"""What a judged outcome is on this page, with the heading of its table."""

COLUMNS = ("Rule", "Element", "What was found, and how it was worked out", "Margin")

AREAS = {
    "earth": "protective earth",
    "gain": "gain and response",
    "inverter": "phase inverter",
    "mains": "mains side",
    "output": "output transformer",
    "supply": "power supply",
    "jacks": "jacks and contacts",
    "heaters": "heaters",
}
"""Folders of rules whose name is not what a builder says."""

FAR = 10.0
"""A value more than so many times its limit, or its limit that many times the value, is not worth a number."""


def judgement_page(netlist: Netlist, findings: Findings) -> Page:
    """Findings, what is for information, what could not be evaluated, then what passed, area by area."""
    grouped = {name: [j for j in findings.judged if _group(j) == name] for name, _ in GROUPS}
    counts = {name: len(rows) for name, rows in grouped.items()}
    rules = len({j.rule.code for j in findings.judged})
    blocks: list[Block] = [
        Paragraph(
            t(
                f"{rules} rules had a subject in this amp and looked at {len(findings.judged)} elements: {counts['pass']} passed, "
                f"{counts['fail']} failed, {counts['info']} are for information, {counts['not evaluated']} could not be evaluated. "
                "The compiler checks limits; it does not certify."
            )
        )
    ]
    for name, title in GROUPS:
        if grouped[name]:
            blocks += [Heading(title, name.replace(" ", "-")), *_by_area(netlist, name, grouped[name])]
    return Page("judgement", "Judgement", "What the compiler checked, against which limit, with which numbers.", tuple(blocks))


def summary_blocks(findings: Findings) -> list[Block]:
    """Counts of every area with its least margin, for pages that only point here."""
    rows = []
    for area, judged in _areas(findings.judged).items():
        counts = [sum(1 for j in judged if _group(j) == name) for name, _ in GROUPS]
        waived = sum(1 for j in judged if j.waiver)
        close = min(
            (j for j in judged if _group(j) == "pass" and _distance(j) is not None), key=lambda j: _distance(j) or 0.0, default=None
        )
        least = f"{_margin(close)}, {close.rule.code} {close.outcome.element}" if close else "–"
        failed, info, unknown, passed = counts
        numbers = (len({j.rule.code for j in judged}), len(judged), passed, failed - waived, waived, info, unknown)
        rows.append(Row((txt(_title(area)), *(num(str(n)) for n in numbers), txt(least))))
    columns = ("Area", "Rules", "Checks", "Passed", "Failed", "Waived", "For information", "Not evaluated", "Least margin that passed")
    return [
        Paragraph(t("Every check with its numbers stands on the page ", Link("Judgement", "judgement"), ".")),
        Table("Rules by area", columns, tuple(rows), anchor="rules-by-area"),
    ]


def _checks(judged: Sequence[Judged]) -> str:
    return "1 check" if len(judged) == 1 else f"{len(judged)} checks"


def _areas(judged: Sequence[Judged]) -> dict[str, list[Judged]]:
    """Area -> its outcomes, areas by the name a builder reads."""
    areas: dict[str, list[Judged]] = {}
    for one in judged:
        areas.setdefault(one.rule.area, []).append(one)
    return {area: areas[area] for area in sorted(areas, key=_title)}


def _title(area: str) -> str:
    return AREAS.get(area, area)


def _by_area(netlist: Netlist, group: str, judged: Sequence[Judged]) -> list[Block]:
    """A table per area of the rules; what passed has an index of the areas and their counts before it, and the closest of a rule first."""
    if group == "pass":
        judged = sorted(judged, key=lambda j: (j.rule.code, math.inf if (distance := _distance(j)) is None else distance))
    areas = _areas(judged)
    prefix = "area" if group == "pass" else f"{group.replace(' ', '-')}-area"
    tables = [
        Table(f"{_title(area)}: {_checks(rows)}", COLUMNS, tuple(_row(netlist, j) for j in rows), anchor=f"{prefix}-{area}")
        for area, rows in areas.items()
    ]
    if group != "pass":
        return [*tables]
    index: list[Run] = []
    for area, rows in areas.items():
        index += [", " if index else "By area: ", Link(f"{_title(area)} {len(rows)}", "", f"{prefix}-{area}")]
    return [Paragraph((*index, ".")), *tables]


def _group(judged: Judged) -> str:
    """A failed outcome that is only for information is no failure."""
    outcome = judged.outcome
    return "info" if outcome.state == "fail" and outcome.severity is Severity.INFO else outcome.state


def _row(netlist: Netlist, judged: Judged) -> Row:
    outcome = judged.outcome
    group = _group(judged)
    state = "waived" if judged.waiver else group.replace(" ", "-")
    severity = f"{outcome.severity.value}: " if outcome.severity and group == "fail" else ""
    waived = f" (waived: {judged.waiver.reason})" if judged.waiver else ""
    anchor = f"{judged.rule.code}-{outcome.element}"
    part = netlist.by_ref.get(outcome.element)
    element = txt(Link(outcome.element, "kit", f"part-{outcome.element}")) if part else txt(outcome.element)
    where = f" ({state_words(outcome.condition)})" if outcome.condition else ""
    found = _sentence(netlist, f"{severity}{outcome.message}{where}{waived}.")
    how = _sentence(netlist, outcome.equation)
    return Row(
        (
            txt(judged.rule.code),
            element,
            txt(found, *((f" {how}.",) if how else ())),
            num(_margin(judged)),
        ),
        anchor=anchor,
        state=state,
    )


PRINTED = (
    (r"(?<=\d) ohm\b", " Ω"),
    (r"\bmm2\b", "mm²"),
    (r"\b2 pi ", "2π·"),
    (r"\bjwRC\b", "jωRC"),
    (r"\bgm R\b", "gm·R"),
    (r"(?<=[\d)]) x (?=[\d(])", " × "),
)
"""What a finding writes for a terminal, and what stands for it on paper."""


def _sentence(netlist: Netlist, text: str) -> str:
    """A text that begins with a capital, unless its first word is the name of a stage, a node or a part; no line ends before a unit."""
    for plain, printed in PRINTED:
        text = re.sub(plain, printed, text)
    text = re.sub(r"(?<=\d) (?=(?:[pnµmkM]?(?:V|A|W|Hz|F|Ω|J|s)|%)(?![A-Za-z]))", "\u00a0", text)
    first = text.split(" ", 1)[0].rstrip(",.;:")
    known = {stage.id for stage in netlist.stages} | set(netlist.nets) | set(netlist.by_ref)
    return text if not text or first in known or not first.isalpha() else text[0].upper() + text[1:]


def _distance(judged: Judged) -> float | None:
    """How far the value stands from its limit, as a share of the limit; None without numbers."""
    outcome = judged.outcome
    if outcome.value is None or not outcome.limit:
        return None
    return abs(1.0 - outcome.value / outcome.limit)


def _margin(judged: Judged) -> str:
    """How far the value stands from its limit in percent of it: plus on the good side, minus beyond; a dash without numbers.

    A limit may be a ceiling or a floor: the state tells which side is the good one.
    """
    outcome = judged.outcome
    if outcome.value is None or not outcome.limit:
        return "–"
    if abs(outcome.value / outcome.limit) > FAR:
        return f"over {FAR:.0f} times"
    return f"{'+' if outcome.state == 'pass' else '−'}{100.0 * (_distance(judged) or 0.0):.0f} %"
