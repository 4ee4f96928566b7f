"""The two judgements side by side, by rule and element; elements that name a part are followed through a change of its number."""

from __future__ import annotations

import re
from collections.abc import Mapping

from .model import Amp, FindingChange

REF = re.compile(r"\b[A-Z]{1,2}[1-9][0-9]{0,4}(?=[a-z]?\b)")

State = tuple[str, str]
"""State and message."""

LOUD = ("danger", "error", "warning", "info", "waived", "not evaluated")


def compared(old: Amp, new: Amp, refs: Mapping[str, str]) -> tuple[tuple[FindingChange, ...], int]:
    """What is found, waived or not evaluated on one side and not so on the other, worst first; and how many say the same."""
    before = {(code, _renamed(element, refs)): state for (code, element), state in _states(old).items()}
    after = _states(new)
    changes: list[FindingChange] = []
    same = 0
    for code, element in dict.fromkeys((*after, *before)):
        a, b = before.get((code, element), ("", "")), after.get((code, element), ("", ""))
        if a[0] not in LOUD and b[0] not in LOUD:
            continue
        if a == b or (a[0] == b[0] and _renamed(a[1], refs) == b[1]):
            same += 1
            continue
        kind = "new" if a[0] not in LOUD else "gone" if b[0] not in LOUD else "changed"
        changes.append(FindingChange(kind, code, element, a[0], b[0], a[1], b[1]))
    return tuple(sorted(changes, key=_worst)), same


def _worst(change: FindingChange) -> tuple[int, str, str]:
    state = change.old_state if change.kind == "gone" else change.new_state
    return (LOUD.index(state), change.code, change.element)


def _renamed(text: str, refs: Mapping[str, str]) -> str:
    return REF.sub(lambda found: refs.get(found[0], found[0]), text)


def _states(amp: Amp) -> dict[tuple[str, str], State]:
    found: dict[tuple[str, str], State] = {}
    for judged in amp.findings.judged:
        outcome, key = judged.outcome, (judged.rule.code, judged.outcome.element)
        if outcome.state == "pass":
            found.setdefault(key, ("passed", outcome.message))
        elif outcome.state == "not evaluated":
            found[key] = ("not evaluated", outcome.message)
        elif judged.waiver is not None:
            found[key] = ("waived", f"{outcome.message} ({judged.waiver.reason})")
    for said in amp.diagnostics:
        found[said.code, said.element or said.message] = (said.severity.value, said.message)
    return found
