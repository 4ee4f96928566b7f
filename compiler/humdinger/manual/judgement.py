"""The judgement page: every rule with what it found, the ones that could not be evaluated among them."""

from __future__ import annotations

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

COLUMNS = ("Rule", "Element", "What was found", "Margin", "Condition", "Worked out")

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
        if not grouped[name]:
            continue
        blocks.append(Heading(title, name.replace(" ", "-")))
        if name == "pass":
            blocks += _by_area(netlist, grouped[name])
        else:
            blocks.append(_table(netlist, _checks(grouped[name]), grouped[name]))
    return Page("judgement", "Judgement", "What the compiler checked, against which limit, with which numbers.", tuple(blocks))


def _checks(judged: Sequence[Judged]) -> str:
    return "1 check" if len(judged) == 1 else f"{len(judged)} checks"


def _table(netlist: Netlist, caption: str, judged: Sequence[Judged], anchor: str = "") -> Table:
    return Table(caption, COLUMNS, tuple(_row(netlist, j) for j in judged), anchor=anchor)


def _by_area(netlist: Netlist, judged: Sequence[Judged]) -> list[Block]:
    """A table per area of the rules, with an index of the areas and their counts before them."""
    areas: dict[str, list[Judged]] = {}
    for one in judged:
        areas.setdefault(one.rule.area, []).append(one)
    names = {area: AREAS.get(area, area) for area in sorted(areas, key=lambda a: AREAS.get(a, a))}
    index: list[Run] = []
    for area, title in names.items():
        index += [", " if index else "By area: ", Link(f"{title} {len(areas[area])}", "", f"area-{area}")]
    tables = [_table(netlist, f"{title}: {_checks(areas[area])}", areas[area], f"area-{area}") for area, title in names.items()]
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
    return Row(
        (
            txt(judged.rule.code),
            element,
            txt(f"{severity}{outcome.message}{waived}"),
            num(_margin(judged)),
            txt(state_words(outcome.condition) or "–"),
            txt(outcome.equation or "–"),
        ),
        anchor=anchor,
        state=state,
    )


def _margin(judged: Judged) -> str:
    """How far the value stands from its limit in percent of it: plus on the good side, minus beyond; a dash without numbers.

    A limit may be a ceiling or a floor: the state tells which side is the good one.
    """
    outcome = judged.outcome
    if outcome.value is None or not outcome.limit:
        return "–"
    if abs(outcome.value / outcome.limit) > FAR:
        return f"more than {FAR:.0f} times"
    distance = abs(100.0 * (1.0 - outcome.value / outcome.limit))
    return f"{'+' if outcome.state == 'pass' else '−'}{distance:.0f} %"
