"""The service page and the unit record: what to look after in years to come, and what to write down for each amp built."""

from __future__ import annotations

from collections.abc import Iterator

from ..analysis.results import Results
from ..circuit.netlist import Capacitor, Netlist, Tube
from ..rules.model import Findings
from ..spec.design import Design
from ..units import show_ohms
from . import words
from .describe import describe, fuse_rating, job
from .model import BLANK, BOX, Block, Facts, Heading, Items, Link, Page, Paragraph, Row, Table, Text, num, t, txt
from .panel import speaker_ohms
from .rating import rated_volt_amps, replaceable

REFORM_YEARS, REPLACE_YEARS = 2, 15
"""Unused electrolytics are reformed after the first, used ones renewed after the second (common practice)."""
KEEP_YEARS = 10
"""How long a unit's record is kept (documentary duty of a directive, as quoted by public guidance)."""
EARTH_OHMS, INSULATION_MEGOHMS = 0.1, 1
"""Earth pin to chassis besides the lead, mains to earth at 500 V (appliance testing guidance)."""


def service_page(design: Design, netlist: Netlist, results: Results, findings: Findings) -> Page:
    """Fuses, tubes, capacitors, what to measure again, revisions and waivers."""
    blocks: list[Block] = [
        Paragraph(t("Bench work on a dead amp: make it dead as ", Link("the safety sheet", "safety", "dead"), " says, every time.")),
        Heading("Fuses", "fuses"),
        _fuses(netlist),
        Heading("Tubes", "tubes"),
        _tubes(netlist, results),
        Paragraph(t(_bias(netlist), _bias_link(netlist), ".")),
        Heading("Capacitors", "ageing"),
        _electrolytics(netlist, results),
        Items(
            (
                t(f"Stored without power for {REFORM_YEARS} years: reform first, current limited, over an hour (common practice)."),
                t(f"In use for {REPLACE_YEARS} years, or bulging, or warm with no tubes in: renew them all (common practice)."),
                t("Same value, same volts or more. Another value is another amp: change the spec and compile."),
            )
        ),
        Heading("Measure again", "again"),
        Items(tuple(_again(results))),
    ]
    if design.spec.block("model").get("revision"):
        blocks += [Heading("Revisions", "revisions"), Facts(tuple(_revision(design)))]
    waived = [j for j in findings.judged if j.waiver]
    if waived:
        rows = tuple(
            Row((txt(j.rule.code), txt(j.outcome.element), txt(j.waiver.reason if j.waiver else "")), state="waived") for j in waived
        )
        blocks += [Heading("Waived findings", "waived"), Table("Known and accepted", ("Rule", "Element", "Reason"), rows)]
    blocks += [Heading("Work done", "log"), _log()]
    return Page("service", "Service", "Fuses, tubes, capacitors, and what to measure again after work.", tuple(blocks))


def _fuses(netlist: Netlist) -> Table:
    rows = tuple(
        Row(
            (txt(Link(f.ref, "kit", f"part-{f.ref}")), txt(f.label or job(f)), txt(fuse_rating(f)), txt(f.holder or "–")),
            anchor=f"fuse-{f.ref}",
        )
        for f in replaceable(netlist)
    )
    return Table("Same letter, amps and volts", ("Fuse", "Where", "Rating", "Holder"), rows, anchor="fuse-table")


def _tubes(netlist: Netlist, results: Results) -> Table:
    rows = []
    for tube in netlist.of(Tube):
        found = [r for r in netlist.power_sections if netlist.by_section[r].tube == tube.ref and r in results.nominal.sections]
        idle = ", ".join(words.amps(results.nominal.sections[r].cathode_amps) for r in found)
        rows.append(Row((txt(tube.ref), txt(tube.type.name), num(idle or "–"), BLANK, BLANK), anchor=f"tube-{tube.ref}"))
    note = "Cathode current at idle, nominal mains, as computed."
    return Table("Tubes and their idle", ("Tube", "Type", "Cathode current", "Found", "After change"), tuple(rows), note, "tube-table")


def _bias(netlist: Netlist) -> str:
    if netlist.bias_scheme == "fixed":
        return "New output tubes: turn the adjustment to its coldest end before power, then set it by the steps of "
    return "The output tubes set themselves; a reading outside its band is a worn tube or a drifted resistor. Targets: "


def _bias_link(netlist: Netlist) -> Link:
    """The steps are those of first power; what sets itself has targets alone."""
    if netlist.bias_scheme == "fixed":
        return Link("idle current, first power", "first-power", "idle")
    return Link("bias on the chart page", "chart", "bias")


def _electrolytics(netlist: Netlist, results: Results) -> Table:
    rows = []
    for part in netlist.of(Capacitor):
        if part.polarised:
            stress = results.stresses.get(part.ref)
            volts = words.volts(stress.worst_volts) if stress else "–"
            rows.append(Row((txt(Link(part.ref, "kit", f"part-{part.ref}")), txt(describe(part)), txt(job(part)), num(volts), BLANK)))
    return Table("Electrolytics", ("Part", "What", "Job", "Worst volts", "Renewed"), tuple(rows), anchor="electrolytics")


def _again(results: Results) -> Iterator[Text]:
    yield t(
        f"After work on the mains side: earth pin to chassis at most {show_ohms(EARTH_OHMS)} besides the lead; "
        f"line and neutral to earth at least {INSULATION_MEGOHMS} MΩ at 500 V (appliance testing guidance)."
    )
    yield t("After new output tubes: the idle current, after 15 minutes and again after 30.")
    yield t(
        "After new capacitors: every B+ node of ",
        Link("the chart", "chart"),
        ", and the time to discharge against ",
        Link("its table", "safety", "stored"),
        ".",
    )
    if results.feedback is not None:
        yield t("After a new output transformer: the polarity of the feedback, before it is connected.")


def _revision(design: Design) -> Iterator[tuple[str, Text]]:
    model = design.spec.block("model")
    for title, key in (("Revision", "revision"), ("Date of the spec", "date")):
        if model.get(key):
            yield title, t(str(model.get(key)))
    yield (
        "Errata",
        t("A fault found in this revision is corrected in the spec; the next manual has the next revision and another checksum."),
    )


def _log() -> Table:
    rows = tuple(Row((txt(str(i + 1)), BLANK, BLANK, BLANK)) for i in range(6))
    return Table("Work on this unit", ("No.", "Date", "What", "By"), rows, anchor="work-log")


def record_page(design: Design, netlist: Netlist, results: Results, checksum: str, version: str) -> Page:
    """One sheet for one unit, to print and fill in."""
    model = design.spec.block("model")
    serial = str(model.get("serial") or "").strip()
    identity: list[tuple[str, Text]] = [("Amp", t(netlist.name)), ("Spec checksum", t(checksum)), ("Compiler", t(f"Humdinger {version}"))]
    for title, key in (("Revision", "revision"), ("Spec date", "date")):
        if model.get(key):
            identity.insert(1, (title, t(str(model.get(key)))))
    if serial:
        identity.append(("Serial number", t(serial)))
    donor = design.spec.block("donor").get("description")
    if donor:
        identity.append(("Donor", t(str(donor))))
    unit = [] if serial else ["Serial number"]
    unit += ["Donor's serial number", "Parts lots", "Builder", "Meter, its number and calibration date", "Started", "Finished"]
    blocks: tuple[Block, ...] = (
        Facts(tuple(identity)),
        Heading("This unit", "unit"),
        Table("Fill in", ("What", "Is"), tuple(Row((txt(x), BLANK)) for x in unit), anchor="unit-blanks"),
        Heading("Tubes as fitted", "fitted"),
        _fitted(netlist, results),
        Heading("Safety tests", "tests"),
        _tests(netlist, results),
        Heading("Bench", "bench"),
        _bench(netlist, results),
        Heading("Signed off", "signed"),
        Table(
            "Each by name and date",
            ("Step", "Done", "Name", "Date"),
            tuple(
                Row((txt(x), BOX, BLANK, BLANK))
                for x in ("mains side", "dead tests", "first power", "bench tests", "play test", "labels on, lid shut")
            ),
            anchor="signatures",
        ),
        Table(
            "Deviations from this manual",
            ("No.", "What", "Why"),
            tuple(Row((txt(str(i + 1)), BLANK, BLANK)) for i in range(4)),
            anchor="deviations",
        ),
    )
    return Page("record", "Unit record", f"One printed copy for each amp built. Keep it for {KEEP_YEARS} years or more.", blocks)


def _fitted(netlist: Netlist, results: Results) -> Table:
    rows = []
    for tube in netlist.of(Tube):
        found = [r for r in netlist.power_sections if netlist.by_section[r].tube == tube.ref and r in results.nominal.sections]
        idle = ", ".join(words.amps(results.nominal.sections[r].cathode_amps) for r in found)
        rows.append(Row((txt(tube.ref), txt(tube.type.name), BLANK, num(idle or "–"), BLANK)))
    return Table(
        "Make, and idle as measured",
        ("Tube", "Type", "Make and code", "Idle, computed", "Idle, measured"),
        tuple(rows),
        anchor="fitted-tubes",
    )


def _tests(netlist: Netlist, results: Results) -> Table:
    volt_amps, _ = rated_volt_amps(netlist, results)
    said = (
        ("earth pin to chassis and every bare screw", f"at most {show_ohms(EARTH_OHMS)} besides the lead"),
        ("line and neutral to earth at 500 V, switch on", f"at least {INSULATION_MEGOHMS} MΩ"),
        ("mains, full drive", f"at most {volt_amps} VA as on the plate"),
    )
    rows = [Row((txt(what), txt(limit), BLANK, BOX)) for what, limit in said]
    if results.dead_tests is not None and results.dead_tests.rows:
        rows.append(Row((txt("dead tests filled in, before first power"), txt(Link("before power", "before-power")), BLANK, BOX)))
    rows.append(Row((txt("voltage chart filled in, with the mains as measured"), txt(Link("chart", "chart")), BLANK, BOX)))
    return Table(
        "Before it leaves the bench",
        ("Test", "Limit", "Measured", "Pass"),
        tuple(rows),
        "Limits: appliance testing guidance.",
        "safety-tests",
    )


def _bench(netlist: Netlist, results: Results) -> Table:
    ohms = speaker_ohms(netlist)
    at = f" into {show_ohms(ohms)}" if ohms is not None else ""
    rows = [Row((txt("mains volts at the time"), txt("–"), BLANK))]
    point = results.large_signal.point("clipping") if results.large_signal else None
    watts = point.level.watts if point else results.speaker_watts
    if watts is not None:
        rows.append(Row((txt(f"power when a flat begins to show{at}"), txt(f"about {words.watts(watts)}, computed"), BLANK)))
    if results.sensitivity is not None:
        rows.append(
            Row((txt("input for full drive at 1 kHz, volume full"), txt(f"{words.volts(results.sensitivity.volts_rms_full)} rms"), BLANK))
        )
    if results.tremolo is not None:
        slow, fast = words.hertz(results.tremolo.slow_hertz), words.hertz(results.tremolo.fast_hertz)
        rows.append(Row((txt("tremolo rate, slowest and fastest"), txt(f"{slow}, {fast}"), BLANK)))
    rows.append(Row((txt("noise, volume full, input shorted"), txt("–"), BLANK)))
    return Table("Bench results", ("What", "Expected", "Measured"), tuple(rows), anchor="bench-results")
