"""Runs every rule over a case, lays waivers over what failed, and says which waivers did nothing."""

from __future__ import annotations

import re

from ..analysis.results import Results
from ..circuit.netlist import Netlist
from ..diagnostics import Diagnostic, Help, Label, Severity
from ..layout import Colouring
from ..records import replace
from ..spec.design import Design
from ..spec.model import Block
from ..units.values import Quantity
from .model import Case, Findings, Judged, Outcome, Rule, Waiver, waiver_value
from .registry import all_rules, resolve_code

MENTIONED = 3
"""How many findings a cure that waits for others names."""
MOVED = 0.05
"""A waiver is void when the value it was given for moved by more than this share."""


def judge(design: Design, netlist: Netlist, results: Results, colouring: Colouring, today: str) -> Findings:
    """Every outcome of every rule. today: ISO date, for waivers that expire."""
    case = Case(design, netlist, results, colouring)
    outcomes = [(rule, outcome) for rule in all_rules() for outcome in rule.check(case)]
    waivers = tuple(_waiver(block) for block in design.spec.blocks("waive"))
    judged, used, trouble = _lay(outcomes, waivers, today)
    trouble += [
        _trouble("WVR-001", "unused-waiver", w, f"the waiver for {w.rule} on {w.element} covers nothing", (), _instead(w, outcomes))
        for i, w in enumerate(waivers)
        if i not in used
    ]
    judged = _in_turn(judged)
    standing = [j.diagnostic() for j in judged if j.open]
    return Findings(tuple(judged), waivers, tuple(standing + trouble))


def _in_turn(judged: list[Judged]) -> list[Judged]:
    """Takes away the cures of rules that wait for others: a fuse chosen by the current of a fault fits the fault."""
    standing = [(j.rule.code, j.outcome.element) for j in judged if j.open and j.outcome.severity is not Severity.INFO]
    found = []
    for one in judged:
        waits = one.rule.waits_for
        first = sorted((row for row in standing if row[0] in waits), key=lambda row: (waits.index(row[0]), row[1]))
        if one.open and first:
            said = ", ".join(f"{code} ({element})" for code, element in first[:MENTIONED])
            cure = one.rule.waiting.format(first=said + (", ..." if len(first) > MENTIONED else ""))
            one = replace(one, outcome=replace(one.outcome, helps=(cure,), repair=None))
        found.append(one)
    return found


def _lay(outcomes: list[tuple[Rule, Outcome]], waivers: tuple[Waiver, ...], today: str) -> tuple[list[Judged], set[int], list[Diagnostic]]:
    judged: list[Judged] = []
    used: set[int] = set()
    trouble: list[Diagnostic] = []
    for rule, outcome in outcomes:
        laid: Waiver | None = None
        for i, waiver in enumerate(waivers):
            if outcome.state != "fail" or waiver.element != outcome.element or resolve_code(waiver.rule) != rule.code:
                continue
            used.add(i)
            fault = _fault(waiver, outcome, today)
            if fault is None:
                laid = waiver
            else:
                trouble.append(fault)
        judged.append(Judged(rule, outcome, laid))
    return judged, used, trouble


def _fault(waiver: Waiver, outcome: Outcome, today: str) -> Diagnostic | None:
    """Why a waiver does not hold for an outcome, None when it holds."""
    if outcome.severity is Severity.DANGER:
        return _trouble(
            "WVR-003",
            "waived-danger",
            waiver,
            f"{waiver.rule} on {waiver.element} is a danger and cannot be waived",
            (),
            "change the design, and take the waiver out",
        )
    if waiver.expires and waiver.expires < today:
        message = f"the waiver for {waiver.rule} on {waiver.element} expired on {waiver.expires}"
        return _trouble("WVR-004", "expired-waiver", waiver, message, (), "look at the finding again, then give a later `expires`")
    if waiver.value is not None and outcome.value is not None:
        moved = abs(outcome.value - waiver.value) / max(abs(waiver.value), 1e-12)
        if moved > MOVED:
            message = f"the waiver for {waiver.rule} on {waiver.element} is void: the value moved by {100 * moved:.0f} %, more than 5 %"
            note = f"waived at {waiver_value(replace(outcome, value=waiver.value))}, now {waiver_value(outcome)}"
            cure = f"look at the finding again; if it still holds, write value: {waiver_value(outcome)}"
            return _trouble("WVR-002", "void-waiver", waiver, message, (note,), cure)
    return None


def _trouble(code: str, name: str, waiver: Waiver, message: str, notes: tuple[str, ...], cure: str) -> Diagnostic:
    labels, helps = (Label(waiver.span, "", True),), (Help(cure),)
    return Diagnostic(code, name, Severity.WARNING, message, labels, notes, helps, element=waiver.element)


def _instead(waiver: Waiver, outcomes: list[tuple[Rule, Outcome]]) -> str:
    """What an unused waiver could mean: the elements its rule did fail on, else nothing at all."""
    code = resolve_code(waiver.rule)
    elements = [outcome.element for rule, outcome in outcomes if rule.code == code and outcome.state == "fail"]
    return f"take it out; {code} fails on {', '.join(elements)}" if elements else f"take it out: {code} fails on nothing"


def _waiver(block: Block) -> Waiver:
    value = block.get("value")
    if isinstance(value, Quantity):
        value = value.value
    elif isinstance(value, str):
        value = _number(value)
    return Waiver(
        rule=str(block.get("rule", "")),
        element=str(block.get("element", "")),
        value=value if isinstance(value, int | float) else None,
        reason=str(block.get("reason", "")),
        by=str(block.get("by", "")),
        date=str(block.get("date", "")),
        expires=str(block.get("expires", "") or ""),
        span=block.span,
    )


_PRINTED = re.compile(r"([-+]?[0-9]*\.?[0-9]+(?:[eE][-+]?[0-9]+)?)\s*(?:([pnuµmkM])?(V|A|W|VA|Ω|ohm|F|H|Hz|s|J)|mm2?|dB|1/s|stages|%|x)?")
_PREFIXES = {"p": 1e-12, "n": 1e-9, "u": 1e-6, "µ": 1e-6, "m": 1e-3, "k": 1e3, "M": 1e6}


def _number(text: str) -> float | None:
    """The value of a waiver, bare in SI or as a finding prints it: "0.061" and "61 mA" are the same."""
    found = _PRINTED.fullmatch(text.strip())
    return float(found[1]) * _PREFIXES.get(found[2] or "", 1.0) if found else None
