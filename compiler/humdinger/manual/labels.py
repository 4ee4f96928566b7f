"""The labels page: what is stuck on the amp, at full size, with the source of every figure on it."""

from __future__ import annotations

from collections.abc import Iterator

from ..analysis.results import Results
from ..circuit.netlist import Netlist, Speaker, Tube
from ..drawing.labels_sheet import Label, Line, label_sheets
from ..spec.design import Design
from ..units import show_ohms
from . import words
from .describe import fuse_rating
from .model import Block, Figure, Heading, Items, Link, Page, Row, Strong, Table, Text, t, txt
from .panel import back, fitted_speakers, front, jack_ohms, jacks, player_pots, speaker_ohms
from .rating import highest_volts, mains_rating, rated_volt_amps, replaceable
from .safety import TARGET_VOLTS, waiting

FUSES = {"mains": "MAINS FUSE", "high-tension": "HIGH-TENSION FUSE", "heater": "HEATER FUSE"}
SERIAL_MM = 45.0
"""Room to write a serial number."""


def labels_page(design: Design, netlist: Netlist, results: Results, label_seconds: float | None) -> Page:
    """Sheets at full size, then what they say and why."""
    revision = str(design.spec.block("model").get("revision") or "")
    heading = f"{netlist.name} {revision}".strip()
    labels = tuple(_labels(design, netlist, results, label_seconds))
    sheets = label_sheets(heading, labels)
    blocks: list[Block] = [
        Heading("Print and cut", "print"),
        Items(
            (
                t(Strong("Print at 100 %,"), " no fit to page. Measure both bars of each sheet: 100 mm, or the print is wrong."),
                t("Cut on the dashed lines. Matt film over the print, on clean dry metal (common practice)."),
                t("Warning labels first: one inside, one outside the cover, before the amp leaves the bench."),
            )
        ),
        Heading("What the labels say", "figures"),
        _figures(netlist, results, label_seconds),
    ]
    for i, made in enumerate(sheets):
        title = "Labels at full size" if len(sheets) == 1 else f"Labels at full size, sheet {i + 1}"
        blocks.append(Figure(made.name, title, made.svg, made.width_mm, made.height_mm, true_size=True))
    return Page("labels", "Labels", "Rating plate, warnings, fuses, tube map and legends, to print at full size.", tuple(blocks))


def _labels(design: Design, netlist: Netlist, results: Results, label_seconds: float | None) -> Iterator[Label]:
    yield _plate(design, netlist, results)
    for fuse in replaceable(netlist):
        pull = "Pull the mains plug first." if fuse.where == "mains" else _pause(results, label_seconds)
        lines = (
            Line(f"{fuse.ref} {FUSES.get(fuse.where, 'FUSE')}", 3.0, bold=True),
            Line(fuse_rating(fuse), 4.4, bold=True),
            Line(f"Same type and rating only. {pull}", 2.8),
        )
        yield Label(f"fuse {fuse.ref}", "plate", lines, 64.0)
    yield from _warnings(netlist, results, label_seconds)
    yield Label(
        "protective earth",
        "earth",
        (Line("PROTECTIVE EARTH", 3.0, bold=True), Line("Mains earth lowest, own nut. Never take it off.", 2.8)),
        60.0,
    )
    for jack in jacks(netlist, "speaker"):
        ohms = jack_ohms(netlist, jack)
        if jack.role == "extension-jack":
            plays = "together with the speaker inside" if not jack.switched else "in place of the speaker inside"
            lines = [Line("EXTENSION CABINET", 3.4, bold=True), Line(f"{show_ohms(ohms or 0.0)}, not less", 4.4, bold=True)]
            yield Label(f"speaker {jack.ref}", "plate", (*lines, Line(f"Plays {plays}.", 2.8)), 64.0)
            continue
        lines = [Line("LOAD MUST BE CONNECTED", 3.4, bold=True)]
        if ohms is not None:
            lines.append(Line(f"{show_ohms(ohms)}, not less", 4.4, bold=True))
        yield Label(f"speaker {jack.ref}", "plate", (*lines, Line("Never switch on without the speaker.", 2.8)), 64.0)
    yield Label("tube map", "tubes", (Line(f"TUBES, {netlist.name}", 3.4, bold=True),), tubes=tuple(_line_up(netlist)))
    for pot in player_pots(netlist):
        yield Label(f"knob {pot.ref}", "knob", (Line(pot.control, 4.0, bold=True),))
    for fitting in (*front(netlist), *back(netlist)):
        if fitting.kind != "knob":
            yield Label(f"legend {fitting.ref}", "legend", (Line(fitting.name, 4.0, bold=True),))


def _plate(design: Design, netlist: Netlist, results: Results) -> Label:
    model = design.spec.block("model")
    maker, address = (str(design.shop.get(key) or "").strip() for key in ("maker", "address"))
    revision, serial = (str(model.get(key) or "").strip() for key in ("revision", "serial"))
    volt_amps, _ = rated_volt_amps(netlist, results)
    lines = [
        Line(maker, 3.6, bold=True) if maker else Line("Maker", blank=70.0),
        Line(address, 2.8) if address else Line("Address", blank=70.0),
        Line(f"{netlist.name}, revision {revision}" if revision else netlist.name, 4.4, bold=True),
        Line(f"Serial No. {serial}", 3.0) if serial else Line("Serial No.", 3.0, blank=SERIAL_MM),
        Line(f"{mains_rating(netlist)}, {volt_amps} VA", 4.0, bold=True),
        *(Line(f"Mains fuse {fuse_rating(fuse)}") for fuse in replaceable(netlist) if fuse.where == "mains"),
    ]
    ohms = speaker_ohms(netlist)
    if ohms is not None:
        lines.append(Line(f"Speaker {show_ohms(ohms)}, not less"))
    lines.append(Line("This amp must be earthed."))
    return Label("rating plate", "plate", tuple(lines), 92.0)


def _warnings(netlist: Netlist, results: Results, label_seconds: float | None) -> Iterator[Label]:
    wait = waiting(results, label_seconds)
    pause = f"Wait {wait} s, then measure." if wait is not None else "Waiting is not enough: measure and discharge."
    outside = (
        Line("DANGER: HIGH VOLTAGE", 4.0, bold=True),
        Line("Disconnect the mains plug before opening.", 3.2, bold=True),
        Line(pause, 4.0, bold=True),
        Line("The capacitors inside stay charged after switching off.", 2.8),
    )
    inside = (
        Line(f"DANGER: UP TO {words.volts(highest_volts(results))}", 4.0, bold=True),
        Line("Disconnect the mains plug.", 3.2, bold=True),
        Line(pause, 4.0, bold=True),
        Line(f"Meter {', '.join(netlist.b_plus)} below {TARGET_VOLTS:.0f} V before you touch anything.", 2.8),
    )
    yield Label("warning, outside of the cover", "warning", outside, 80.0)
    yield Label("warning, inside of the cover", "warning", inside, 80.0)


def _pause(results: Results, label_seconds: float | None) -> str:
    wait = waiting(results, label_seconds)
    return f"Disconnect and wait {wait} s first." if wait is not None else "Disconnect and discharge first."


def _line_up(netlist: Netlist) -> Iterator[tuple[str, str, str]]:
    """Designator, type and the stages it serves, V1 first."""
    for tube in netlist.of(Tube):
        stages = dict.fromkeys(s.stage for s in netlist.sections if s.tube == tube.ref and not s.unused)
        yield tube.ref, tube.type.name, ", ".join(stages) or tube.stage


def _figures(netlist: Netlist, results: Results, label_seconds: float | None) -> Table:
    rows = tuple(Row((txt(what), txt(Strong(says)), txt(*why))) for what, says, why in _said(netlist, results, label_seconds))
    note = "The plate claims no conformity. A mark that the law asks for is put there by whoever declares it."
    return Table("Each figure and where it is from", ("Label", "Says", "From"), rows, note, "label-figures")


def _said(netlist: Netlist, results: Results, label_seconds: float | None) -> Iterator[tuple[str, str, Text]]:
    volt_amps, equation = rated_volt_amps(netlist, results)
    yield "Rating plate: mains", mains_rating(netlist), t(f"region {netlist.region.name}")
    yield "Rating plate: power", f"{volt_amps} VA", t(f"{equation}; see ", Link("design notes", "design-notes", "transformer"))
    for fuse in replaceable(netlist):
        yield f"Fuse {fuse.ref}", fuse_rating(fuse), t(Link(fuse.ref, "kit", f"part-{fuse.ref}"), " of the kit list")
    ohms = speaker_ohms(netlist)
    if ohms is not None:
        inside = fitted_speakers(netlist)
        fitted = f"; the speaker fitted is {inside}" if inside else ""
        if sum(1 for _ in netlist.of(Speaker)) > 1:
            fitted = f"; the speakers fitted are {inside}"
        yield "Speaker", f"{show_ohms(ohms)}, not less", t(f"the tap of the output transformer in use{fitted}")
    wait = waiting(results, label_seconds)
    if wait is not None:
        said = "the label of the spec" if label_seconds is not None and wait == label_seconds else "computed"
        yield "Warnings: time", f"{wait} s", t(f"{said}; held against ", Link("the discharge table", "safety", "stored"))
    yield (
        "Warning inside: volts",
        words.volts(highest_volts(results)),
        t("worst state of ", Link("the discharge table", "safety", "stored")),
    )
    yield "Tube map", f"{len(list(netlist.of(Tube)))} tubes", t("designators as in ", Link("the schematic", "schematic"), ", V1 first")
