"""The judgement page: every rule with what it found, the ones that could not be evaluated among them."""

from __future__ import annotations

from ..circuit.netlist import Netlist
from ..rules.model import Findings, Judged
from .model import Block, Heading, Link, Page, Paragraph, Row, Table, num, t, txt
from .words import state as state_words

STATES = (
    ("fail", "Findings"),
    ("not evaluated", "Not evaluated: a datum is missing"),
    ("pass", "Passed"),
)


def judgement_page(netlist: Netlist, findings: Findings) -> Page:
    """Three tables: findings, not evaluated, passed."""
    counts = {state: sum(j.outcome.state == state for j in findings.judged) for state, _ in STATES}
    rules = len({j.rule.code for j in findings.judged})
    blocks: list[Block] = [
        Paragraph(
            t(
                f"{rules} rules had a subject in this amp and looked at {len(findings.judged)} elements: {counts['pass']} passed, "
                f"{counts['fail']} failed, {counts['not evaluated']} could not be evaluated. The compiler checks limits; it does not certify."
            )
        )
    ]
    for state, title in STATES:
        rows = tuple(_row(netlist, j) for j in findings.judged if j.outcome.state == state)
        if rows:
            anchor = state.replace(" ", "-")
            columns = ("Rule", "Element", "What was found", "Margin", "Condition", "Worked out")
            blocks += [Heading(title, anchor), Table(f"{len(rows)} checks", columns, rows)]
    return Page("judgement", "Judgement", "What the compiler checked, against which limit, with which numbers.", tuple(blocks))


def _row(netlist: Netlist, judged: Judged) -> Row:
    outcome = judged.outcome
    state = "waived" if judged.waiver else outcome.state.replace(" ", "-")
    severity = f"{outcome.severity.value}: " if outcome.severity and outcome.state == "fail" else ""
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
    distance = abs(100.0 * (1.0 - outcome.value / outcome.limit))
    return f"{'+' if outcome.state == 'pass' else '−'}{distance:.0f} %"
