"""What a run has to say of a spec, as text: diagnostics, how the judgement went, and how it ended. Prints nothing."""

from __future__ import annotations

import json
import os
from typing import TYPE_CHECKING

from .diagnostics import Severity

if TYPE_CHECKING:
    from .compile import Compiled
    from .diagnostics import Diagnostic

CLEAN, FINDINGS, MISUSE, OUR_FAULT = 0, 1, 2, 3
"""Exit codes. The worst of several specs is that of the run."""


def exit_code(made: Compiled, strict: bool) -> int:
    """How a run ended for one spec. A path where nothing is says more about the command than about an amp: misuse."""
    if made.source is None and not os.path.lexists(made.path):
        return MISUSE
    if made.blocking or made.findings is None:
        return FINDINGS
    if strict and any(d.severity is Severity.WARNING for d in made.diagnostics):
        return FINDINGS
    return CLEAN


def diagnostics_text(made: Compiled, form: str, *, colour: bool = False, verbose: bool = False) -> str:
    """Findings in full; what is only for information a line each, unless asked for. form: "text" or "short"."""
    if not made.diagnostics:
        return ""
    from .diagnostics import sort_diagnostics
    from .diagnostics.render_short import render_short

    ordered = sort_diagnostics(made.diagnostics)
    if form == "short":
        return render_short(ordered)
    from .diagnostics.render_text import render_text

    loud = [d for d in ordered if verbose or d.severity is not Severity.INFO]
    quiet = [d for d in ordered if d not in loud]
    return (render_text(loud, made.texts, colour=colour) + "\n" if loud else "") + (render_short(quiet) if quiet else "")


def judgement_text(made: Compiled) -> str:
    """One line on how the judgement went; a rule that could not be evaluated is never passed over in silence."""
    if made.findings is None:
        return ""
    counts = _counts(made)
    waived = f", {counts['waived']} waived" if counts["waived"] else ""
    told = f", {counts['info']} for information" if counts["info"] else ""
    many = "" if counts["findings"] == 1 else "s"
    found = f"{counts['findings']} finding{many}{told}{waived}"
    lines = [f"{made.path}: {found}; {counts['passed']} checks passed, {counts['blind']} not evaluated\n"]
    missing: dict[str, list[str]] = {}
    for judged in made.findings.judged:
        if judged.outcome.state == "not evaluated":
            missing.setdefault(f"{judged.rule.code} {judged.outcome.message}", []).append(judged.outcome.element)
    lines += [f"  not evaluated: {why} ({', '.join(dict.fromkeys(elements))})\n" for why, elements in missing.items()]
    return "".join(lines)


def override_text(made: Compiled) -> str:
    """What the command line put in the place of something, a line each."""
    rows = ((one, f", the spec has {one.was}" if one.was else "") for one in (made.source.overrides if made.source else ()))
    return "".join(f"{made.path}: {one.argument}: {one.path} is {one.text}{was}\n" for one, was in rows)


def following_text(made: Compiled, plain: Compiled | None) -> str:
    """The overrides, and which findings they bring and take away. plain: the spec as it is written, judged."""
    if not made.asked or made.findings is None:
        return ""
    if made.source is None or not made.source.overrides:
        return f"{made.path}: {made.asked.words}: changes nothing, the spec says the same\n"
    said = override_text(made)
    if plain is None or plain.findings is None:
        return said
    for word, rows in zip(("new", "gone"), following(made, plain), strict=True):
        loud = [f"{d.severity.value} {d.code} {d.element}".rstrip() for d in rows if d.severity is not Severity.INFO]
        quiet = len(rows) - len(loud)
        told = f"{quiet} for information" if quiet else ""
        said += f"{made.path}: {made.asked.words}: {word}: {'; '.join(x for x in (*loud, told) if x) or 'no finding'}\n"
    return said


def following(made: Compiled, plain: Compiled) -> tuple[list[Diagnostic], list[Diagnostic]]:
    """The findings that one judgement has and the other has not: (only here, only as the spec is written)."""
    here, there = ({(d.code, d.element, d.severity): d for d in one.diagnostics} for one in (made, plain))
    return [d for key, d in here.items() if key not in there], [d for key, d in there.items() if key not in here]


def open_findings(made: Compiled) -> str:
    """What is still open above information, in a few words."""
    found = [d for d in made.diagnostics if d.severity is not Severity.INFO]
    if not found:
        return "no finding is open"
    codes = ", ".join(dict.fromkeys(d.code for d in found))
    return f"{len(found)} finding{'s are' if len(found) > 1 else ' is'} open: {codes}"


def judgement_rows(made: Compiled, plain: Compiled | None = None) -> dict[str, object]:
    """One spec as plain data, for `--format json`. plain: as for `following_text`."""
    from .diagnostics.render_json import render_json

    return {"spec": made.path, **_overridden(made, plain), **_judgement(made), **json.loads(render_json(made.diagnostics))}


def _overridden(made: Compiled, plain: Compiled | None) -> dict[str, object]:
    if not made.asked or made.source is None:
        return {}
    rows = {one.path: {"argument": one.argument, "text": one.text, "was": one.was} for one in made.source.overrides}
    if plain is None or plain.findings is None or made.findings is None:
        return {"overrides": rows}
    new, gone = ([{"code": d.code, "element": d.element, "severity": d.severity.value} for d in some] for some in following(made, plain))
    return {"overrides": rows, "follows": {"new": new, "gone": gone}}


def _judgement(made: Compiled) -> dict[str, object]:
    if made.findings is None:
        return {"judged": None}
    rows = [
        {"code": j.rule.code, "rule": j.rule.name, "state": j.outcome.state, "element": j.outcome.element, "message": j.outcome.message}
        for j in made.findings.judged
        if j.outcome.state == "not evaluated"
    ]
    return {"judged": _counts(made), "not_evaluated": rows}


def _counts(made: Compiled) -> dict[str, int]:
    assert made.findings is not None
    states = [j.outcome.state for j in made.findings.judged]
    return {
        "findings": sum(d.severity is not Severity.INFO for d in made.findings.diagnostics),
        "info": sum(d.severity is Severity.INFO for d in made.findings.diagnostics),
        "waived": sum(j.waiver is not None for j in made.findings.judged),
        "passed": states.count("pass"),
        "blind": states.count("not evaluated"),
    }
