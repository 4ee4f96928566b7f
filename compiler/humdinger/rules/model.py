"""The data of judgement: what a rule may look at, and what it may say.

A rule compares and never calculates. It yields one outcome per thing it looked at: pass, fail, or not evaluated (with the datum
that is missing); silence means the rule has no subject in this amp.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import cached_property

from ..analysis.results import Results
from ..circuit.netlist import Netlist, Part, PowerTransformer, StageInstance, Winding
from ..diagnostics import Diagnostic, Help, Label, Severity, Span
from ..layout import Colouring
from ..records import record
from ..spec.design import Design
from ..spec.model import Block
from ..units import show_ohms


@record(slots=False)
class Case:
    """The amp before the judge."""

    design: Design
    netlist: Netlist
    results: Results
    colouring: Colouring

    @property
    def spec(self) -> Block:
        """The root block of the spec."""
        return self.design.spec

    def part(self, ref: str) -> Part:
        """The part of that designator. Raises KeyError."""
        return self.netlist.by_ref[ref]

    def span(self, ref: str) -> Span:
        """The spec line that caused a part or a tube section; the tube's line for sections."""
        if ref in self.netlist.by_ref:
            return self.netlist.by_ref[ref].span
        if ref in self.netlist.by_section:
            return self.netlist.by_ref[self.netlist.by_section[ref].tube].span
        return self.spec.span

    def at(self, path: str) -> Span:
        """The span of a spec path such as "supply/mains/fuse"; of its nearest existing parent when it is absent."""
        block, span = self.spec, self.spec.span
        for key in path.split("/"):
            found = block.field(key)
            if found is None:
                return block.span if block.span is not self.spec.span else span
            span = found.span
            if not isinstance(found.value, Block):
                return span
            block = found.value
            span = found.key_span or found.span
        return span

    def winding(self, name: str) -> Winding:
        """A winding of the power transformer by name. Raises KeyError."""
        for transformer in self.netlist.of(PowerTransformer):
            for found in transformer.windings:
                if found.name == name:
                    return found
        raise KeyError(name)

    def stage(self, kind: str) -> StageInstance | None:
        """The first stage of a kind, None when the amp has none."""
        return next(iter(self.netlist.stages_of(kind)), None)

    @property
    def sold(self) -> bool:
        """Whether somebody else than its builder will own the amp: a kit or a finished one."""
        return str(self.spec.block("model").get("sold_as", "")) != "own-use"

    @cached_property
    def mains(self) -> Mapping[str, object]:
        """What the spec declares about the mains side."""
        stage = self.stage("mains-input")
        return stage.facts if stage else {}


@record
class Repair:
    """A proposal as data: values to try at a spec path. It is shown only if with one of them this finding goes and no new one comes."""

    path: str
    candidates: tuple[str, ...]


@record(kw_only=True)
class Outcome:
    """What a rule found about one element.

    state: "pass", "fail" or "not evaluated". message: one line, lower case, fault with number and limit, never the cure (for "not
    evaluated": what is missing). equation: the formula with its numbers. condition: the state and mains corner it holds for.
    """

    state: str
    element: str
    span: Span
    message: str
    severity: Severity | None = None
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    condition: str = ""
    equation: str = ""
    label: str = ""
    also: tuple[Label, ...] = ()
    notes: tuple[str, ...] = ()
    helps: tuple[str, ...] = ()
    repair: Repair | None = None


def passed(element: str, span: Span, message: str, **rest: object) -> Outcome:
    """An outcome of state "pass"."""
    return Outcome(state="pass", element=element, span=span, message=message, **rest)  # type: ignore[arg-type]


def failed(severity: Severity, element: str, span: Span, message: str, **rest: object) -> Outcome:
    """An outcome of state "fail"."""
    return Outcome(state="fail", severity=severity, element=element, span=span, message=message, **rest)  # type: ignore[arg-type]


def not_evaluated(element: str, span: Span, missing: str, **rest: object) -> Outcome:
    """An outcome of state "not evaluated": says which datum is missing."""
    return Outcome(state="not evaluated", element=element, span=span, message=missing, **rest)  # type: ignore[arg-type]


def undeclared(case: Case, element: str, span: Span, missing: str, **rest: object) -> Outcome:
    """A datum of safety that the spec does not give: not evaluated in an amp for own use, a warning in one that is sold."""
    if not case.sold:
        return not_evaluated(element, span, missing, **rest)
    rest.setdefault("helps", ("find it out, then write it; do not guess",))
    return failed(Severity.WARNING, element, span, missing, label="not said", notes=("an amp that is sold has to say it",), **rest)


@record
class Rule:
    """A rule as the registry knows it. `document` is its file's docstring, which is also its page.

    waits_for: codes that must not stand open above info before this rule's cures are worth anything; while one does, waiting is said in
    their place, with its findings named at `{first}`.
    """

    code: str
    name: str
    area: str
    document: str
    check: Callable[[Case], Iterator[Outcome]]
    aliases: tuple[str, ...] = ()
    waits_for: tuple[str, ...] = ()
    waiting: str = ""


@record
class Waiver:
    """One entry of `waive:`."""

    rule: str
    element: str
    value: float | None
    reason: str
    by: str
    date: str
    expires: str
    span: Span


CORNERS = {
    "high": "at high mains",
    "low": "at low mains",
    "no-tubes": "tubes out",
    "no-tubes-high": "tubes cold, high mains",
    "small-tubes": "output tubes out",
}
"""What a message adds for a condition that is not the nominal one."""


PREFIXES = (("M", 1e6), ("k", 1e3), ("", 1.0), ("m", 1e-3), ("µ", 1e-6), ("n", 1e-9), ("p", 1e-12))
PREFIXED = ("V", "A", "W", "VA", "F", "H", "Hz", "s", "J")


def waiver_value(outcome: Outcome) -> str:
    """The number of an outcome as a waiver takes it: four digits, with its unit, no exponent."""
    value, unit = outcome.value or 0.0, outcome.unit
    if unit == "ohm":
        return show_ohms(value, 4)
    if unit in PREFIXED and value:
        digits = float(f"{value:.4g}")  # before the prefix is picked: 999.96 mA is 1 A
        prefix, size = next((row for row in PREFIXES if abs(digits) >= row[1]), PREFIXES[-1])
        value, unit = digits / size, prefix + unit
    return f"{_plain(value)} {unit}".rstrip()


def _plain(value: float) -> str:
    """Four digits without an exponent; what is too small for ten decimals is 0."""
    text = f"{float(f'{value:.4g}'):.10f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


@record
class Judged:
    """An outcome with its rule, and the waiver that covers it."""

    rule: Rule
    outcome: Outcome
    waiver: Waiver | None = None

    @property
    def open(self) -> bool:
        """Whether it is a finding that stands."""
        return self.outcome.state == "fail" and self.waiver is None

    def diagnostic(self) -> Diagnostic:
        """The finding as a diagnostic."""
        outcome = self.outcome
        facts: dict[str, float | str] = {}
        if outcome.value is not None:
            facts["value"] = outcome.value
        if outcome.limit is not None:
            facts["limit"] = outcome.limit
        if outcome.unit:
            facts["unit"] = outcome.unit
        if outcome.condition:
            facts["condition"] = outcome.condition
        notes = ((outcome.equation,) if outcome.equation else ()) + outcome.notes
        if outcome.value is not None and outcome.severity in (Severity.ERROR, Severity.WARNING):
            notes += (f"value for a waiver: {waiver_value(outcome)}",)
        where = CORNERS.get(outcome.condition, "")
        if outcome.condition == "no-tubes-high" and any(word in outcome.message for word in ("cold", "before the tubes conduct")):
            where = CORNERS["high"]
        return Diagnostic(
            code=self.rule.code,
            rule=self.rule.name,
            severity=outcome.severity or Severity.INFO,
            message=f"{outcome.message} ({where})" if where else outcome.message,
            labels=(Label(outcome.span, outcome.label, True), *outcome.also),
            notes=notes,
            helps=tuple(Help(text) for text in outcome.helps),
            facts=facts,
            element=outcome.element,
        )


@record
class Findings:
    """The whole judgement: every outcome of every rule, and the diagnostics that stand (waiver trouble included)."""

    judged: tuple[Judged, ...]
    waivers: tuple[Waiver, ...]
    diagnostics: tuple[Diagnostic, ...]

    @property
    def blocking(self) -> bool:
        """Danger or an unwaived error: nothing may be rendered."""
        return any(d.severity in (Severity.DANGER, Severity.ERROR) for d in self.diagnostics)
