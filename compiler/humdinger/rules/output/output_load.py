"""Load of the output tubes.

What it checks
    The load the output tubes see through the tap the speaker hangs on, against the best load of their type.

Why it matters
    Too low a load overheats plates and wastes power, too high a one overheats screens and drives the transformer's insulation hard.

How it is computed
    Speaker ohms times the turns ratio of the tap squared, over the load of the published operating condition closest in plate and
    screen volts; of several tubes on a side, that over their number. In triode connection a condition of that connection is wanted; in
    ultralinear connection that of the pentode stands for it (common practice).

Limits and sources
    0.8 to 1.3 pass, 0.6 to 1.6 warning, else error (handbook practice, from memory). Best loads: the tube library, each with its source.

Example (bad)
    over: curlew
    output/transformer/primary: 13k

Example (good)
    over: curlew
    output/transformer/primary: 8k

When to waive it
    A load away from the published one that was chosen with load lines for these volts: give the file of the drawing in the reason.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.speakers import ALONE, WITH
from ...circuit.netlist import OutputTransformer
from ...diagnostics import Label, Severity
from ...units import show_ohms
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "output-load"
LOW, HIGH = 0.8, 1.3
LOWEST, HIGHEST = 0.6, 1.6
WAYS = {WITH: "a cabinet in the extension jack besides", ALONE: "the cabinet in the extension jack alone"}


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the output transformer, one more for each use of an extension jack."""
    load = case.results.load
    part = next(case.netlist.of(OutputTransformer), None)
    if load is None or part is None:
        return
    span = case.at("output/transformer/primary")
    if load.topology != case.spec.block("output").get("topology", load.topology):
        yield not_evaluated(part.ref, span, f"a {load.topology} transformer does not fit the stage, and no load of the tables is for that")
        return
    if load.optimum_ohms is None or load.ratio is None:
        triode = case.spec.block("output").get("connection") == "triode"
        yield not_evaluated(part.ref, span, f"the library has no published load for the type{' in triode connection' if triode else ''}")
        return
    equation = (
        f"{show_ohms(load.load_ohms)} on the {load.tap} ohm tap / {show_ohms(load.optimum_ohms)} ({load.optimum_source}) = {load.ratio:.2f}"
    )
    limit = HIGH if load.ratio > 1.0 else LOW
    shared = {"value": load.ratio, "limit": limit, "unit": "x", "condition": "nominal", "equation": equation}
    said = f"the output tubes see {show_ohms(load.load_ohms)}, {load.ratio:.2f} times the best load of the type"
    yield from _extensions(case, part.ref)
    if LOW <= load.ratio <= HIGH:
        yield passed(part.ref, span, said, **shared)
        return
    severity = Severity.WARNING if LOWEST <= load.ratio <= HIGHEST else Severity.ERROR
    also = (Label(case.at("speaker/tap"), f"the speaker is on the {load.tap} ohm tap"),)
    helps = ("another tap, or a transformer of another primary",)
    yield failed(severity, part.ref, span, said, label=f"best {show_ohms(load.optimum_ohms)}", also=also, helps=helps, **shared)


def _extensions(case: Case, ref: str) -> Iterator[Outcome]:
    """What the tubes see with a cabinet in the extension jack."""
    for way in case.results.speaker_loads[1:]:
        if way.ratio is None or way.optimum_ohms is None:
            continue
        said = f"with {WAYS[way.state]} the output tubes see {show_ohms(way.load_ohms)}, {way.ratio:.2f} times the best load of the type"
        limit = HIGH if way.ratio > 1.0 else LOW
        equation = f"{show_ohms(way.load_ohms)} / {show_ohms(way.optimum_ohms)} = {way.ratio:.2f}"
        shared = {"value": way.ratio, "limit": limit, "unit": "x", "condition": "nominal", "equation": equation}
        element, span = f"{ref} {way.state}", case.at("speaker/extension/impedance")
        if LOW <= way.ratio <= HIGH:
            yield passed(element, span, said, **shared)
            continue
        severity = Severity.WARNING if LOWEST <= way.ratio <= HIGHEST else Severity.ERROR
        helps = ("a cabinet of another impedance, or a jack that switches the speakers inside off (speaker/extension/arrangement)",)
        yield failed(severity, element, span, said, label=f"{way.ratio:.2f} x", helps=helps, **shared)
