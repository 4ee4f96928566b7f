"""Protection without a speaker.

What it checks
    What loads the output transformer when the speaker is unplugged.

Why it matters
    A pentode without load is a current source into an inductance: the plates reach kilovolts and punch through socket or winding.

How it is computed
    Read off the netlist: a speaker jack that shorts when empty, or a resistor across the secondary; the resistor's ohms over the
    speaker's, and V2/R at the clean watts.

Limits and sources
    A speaker that can be unplugged with neither: error with pentodes, warning with triodes and pentodes connected as such, whose plate
    resistance is a load of its own. A resistor outside 25 to 50 times the impedance, or rated below twice V2/R: warning; rated below V2/R
    itself, or above 100 times the impedance, which is as good as none: error. Hard-wired without a resistor: info. A switching extension
    jack without a resistor: error, since a plug in it cuts off the speakers inside and the contact of their jack. A jack that shorts
    beside a parallel extension: info, since a cabinet there is dumb alone (all common practice).

Example (bad)
    over: curlew
    speaker/load_resistor: ~

Example (good)
    over: curlew
    speaker/load_resistor: 220 5W

When to waive it
    Not for a jack. The resistor's size, where it was tried without a speaker.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.screening import screen_share
from ...circuit.netlist import Jack, Resistor, Speaker
from ...diagnostics import Severity
from ...units import show_number, show_ohms, show_watts
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..printed import say_ratio

NAME = "no-load-protection"
LOW, HIGH = 25.0, 50.0
NO_LOAD = 100.0
WATTS = 2.0
ELEMENT = "no load"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the speaker."""
    stage, speaker, load = case.stage("speaker"), next(case.netlist.of(Speaker), None), case.results.load
    if stage is None or speaker is None or load is None:
        return
    span = case.at("speaker/connection")
    ohms = next((way.ohms for way in case.results.speaker_loads), speaker.ohms)
    jack = case.netlist.by_ref.get(stage.parts.get("jack", ""))
    resistor = case.netlist.by_ref.get(stage.parts.get("load-resistor", ""))
    if stage.facts.get("extension") == "switching" and not isinstance(resistor, Resistor):
        extension = case.netlist.by_ref[stage.parts["extension-jack"]]
        message = f"a plug in {extension.ref} with nothing at its other end takes every load off the output transformer"
        yield failed(Severity.ERROR, ELEMENT, extension.span, message, label="cuts the speakers inside off", helps=(_cure(ohms),))
    elif isinstance(jack, Jack) and jack.switched and stage.facts.get("extension") == "parallel":
        extension = case.netlist.by_ref[stage.parts["extension-jack"]]
        message = f"{jack.ref} shorts the secondary when it is empty, also under a cabinet in {extension.ref}"
        helps = ("say at the jacks that this one is used first",)
        yield failed(Severity.INFO, ELEMENT, jack.span, message, label="shorts a cabinet beside it", helps=helps)
    elif isinstance(jack, Jack) and jack.switched and stage.facts.get("extension") != "switching":
        yield passed(ELEMENT, jack.span, f"{jack.ref} shorts the secondary when it is empty")
    elif isinstance(resistor, Resistor):
        yield _resistor(resistor, ohms, load.clean_watts)
    elif jack is None:
        message = "the speaker is wired hard, and nothing loads the transformer if it comes off or burns out"
        yield failed(Severity.INFO, ELEMENT, span, message, label="no load resistor", helps=(_cure(ohms),))
    else:
        sections = [case.netlist.by_section[ref] for ref in case.netlist.power_sections]
        triodes = all(section.section.kind == "triode" or screen_share(case.netlist, section) == 1.0 for section in sections)
        severity = Severity.WARNING if triodes else Severity.ERROR
        message = "nothing loads the output transformer when the speaker is unplugged"
        yield failed(severity, ELEMENT, span, message, label="empty jack, no load", helps=(_cure(ohms), "a jack that shorts when empty"))


def _cure(ohms: float) -> str:
    return f"a resistor of {show_ohms(LOW * ohms)} to {show_ohms(HIGH * ohms)} across the secondary (speaker/load_resistor)"


def _resistor(part: Resistor, ohms: float, clean: float) -> Outcome:
    ratio = part.ohms / ohms
    watts = clean * ohms / part.ohms
    divided = f"{show_ohms(part.ohms)} / {show_ohms(ohms)} = {say_ratio(ratio)}"
    equation = f"{divided}, wanted {LOW:g} to {HIGH:g}; V2/R = {show_watts(watts)}"
    shared = {"value": ratio, "limit": HIGH if ratio > LOW else LOW, "unit": "x", "condition": "nominal", "equation": equation}
    said = f"{part.ref} of {show_ohms(part.ohms)} loads the transformer without a speaker"
    helps = (f"{_cure(ohms)}, {show_watts(WATTS * clean / LOW)} or more",)
    if not LOW <= ratio <= HIGH:
        burns = part.watts is not None and part.watts < watts
        said = f", and takes {show_watts(watts)} at its {show_watts(part.watts)}" if burns and part.watts else ""
        message = f"{part.ref} is {say_ratio(ratio)} times the speaker's impedance, wanted {LOW:g} to {HIGH:g}{said}"
        if ratio > NO_LOAD:
            message += ": as good as none"
        severity = Severity.ERROR if burns or ratio > NO_LOAD else Severity.WARNING
        return failed(severity, ELEMENT, part.span, message, label=f"{show_number(ratio)} x", helps=helps, **shared)
    if part.watts is None:
        return not_evaluated(ELEMENT, part.span, f"the spec does not give the watts of {part.ref}; it takes {show_watts(watts)}")
    if part.watts < WATTS * watts:
        message = f"{part.ref} is rated {show_watts(part.watts)}, less than {WATTS:g} times the {show_watts(watts)} it takes"
        shared |= {"value": part.watts, "limit": WATTS * watts, "unit": "W"}
        severity = Severity.ERROR if part.watts < watts else Severity.WARNING
        return failed(severity, ELEMENT, part.span, message, label=f"rated {show_watts(part.watts)}", helps=helps, **shared)
    return passed(ELEMENT, part.span, said, **shared)
