"""The judgement page: every rule with what it found, the ones that could not be evaluated among them."""

from __future__ import annotations

from ..circuit.netlist import Netlist
from ..diagnostics import Severity
from ..rules.model import Findings, Judged
from .model import Block, Heading, Link, Page, Paragraph, Row, Table, num, t, txt
from .words import state as state_words

GROUPS = (
    ("fail", "Findings"),
    ("info", "For information"),
    ("not evaluated", "Not evaluated: a datum is missing"),
    ("pass", "Passed"),
)
"""What a judged outcome is on this page, with the heading of its table."""

FAR = 10.0
"""Margins beyond so many times the limit are not worth a number."""


def judgement_page(netlist: Netlist, findings: Findings) -> Page:
    """Three tables: findings, not evaluated, passed."""
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
        rows = tuple(_row(netlist, j) for j in grouped[name])
        if rows:
            columns = ("Rule", "Element", "What was found", "Margin", "Condition", "Worked out")
            caption = "1 check" if len(rows) == 1 else f"{len(rows)} checks"
            blocks += [Heading(title, name.replace(" ", "-")), Table(caption, columns, rows)]
    return Page("judgement", "Judgement", "What the compiler checked, against which limit, with which numbers.", tuple(blocks))


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
    element = txt(Link(outcome.element, "parts", f"part-{outcome.element}")) if part else txt(outcome.element)
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
        return "wide" if outcome.state == "pass" else "far beyond"
    distance = abs(100.0 * (1.0 - outcome.value / outcome.limit))
    return f"{'+' if outcome.state == 'pass' else '−'}{distance:.0f} %"
