"""The first page: which amp this is, what it was compiled from, and what is open about it."""

from __future__ import annotations

from collections.abc import Sequence

from ..analysis.results import Results
from ..circuit.netlist import Netlist, Tube
from ..diagnostics import Severity
from ..drawing.panel import panel
from ..rules.model import Findings
from ..source.override import Override
from ..spec.design import Design
from ..units import show_hertz, show_volts, show_watts
from . import words
from .model import Block, Caution, Facts, Figure, Gallery, Heading, Items, Link, Markdown, Page, Paragraph, Row, Strong, Table, Text, t, txt
from .panel import back, fitted_speakers, front, player_pots
from .rating import highest_volts, rated_volt_amps

SOLD = {"own-use": "built for own use", "kit": "sold as a kit", "finished": "sold finished"}


def cover_page(
    design: Design,
    netlist: Netlist,
    results: Results,
    findings: Findings,
    checksum: str,
    version: str,
    caution: Caution,
    pages: Sequence[Page] = (),
    overrides: Sequence[Override] = (),
) -> Page:
    """Identity, line-up, panels, open findings and waivers; `pages` are the others, for the contents.

    overrides: what the command line put in the place of something in the spec: said first.
    """
    model = design.spec.block("model")
    blocks: list[Block] = [caution, *_overrides(overrides)]
    if summary := str(model.get("summary", "") or "").strip():
        blocks.append(Markdown(summary))
    blocks += [
        Heading("This amp", "amp"),
        Facts(tuple(_facts(design, netlist, results))),
        *_panels(netlist),
        *_contents(pages),
        Heading("Findings", "findings"),
        *_findings(findings),
        Heading("Compiled from", "source"),
        Facts(
            (
                *((name, t(str(model.get(key)))) for name, key in (("Revision", "revision"), ("Spec date", "date")) if model.get(key)),
                ("Checksum", t(checksum)),
                *((("Command line", t(" ".join(dict.fromkeys(one.argument for one in overrides)))),) if overrides else ()),
                ("Compiler", t(f"Humdinger {version}")),
            )
        ),
        Paragraph(
            t(
                "Two manuals with one checksum, one lock file and one compiler version are the same to the byte. All numbers: ",
                Link("design notes", "design-notes"),
                ".",
            )
        ),
    ]
    revision = f", revision {model.get('revision')}" if model.get("revision") else ""
    sold = SOLD.get(str(model.get("sold_as", "")), "")
    return Page("index", netlist.name, f"Build manual{revision}{'; ' + sold if sold else ''}.", tuple(blocks))


def _overrides(overrides: Sequence[Override]) -> list[Block]:
    """That this is not the spec as it is written, and what differs."""
    if not overrides:
        return []
    lines = []
    for one in overrides:
        place = one.path.rpartition("/")[2].replace("_", " ")
        was = f", not {one.was}" if one.was else ""
        lines.append(t(Strong(f"{place} {one.text}"), f"{was}: {one.why or one.argument}."))
    return [Caution("This manual is not of the spec as it is written", tuple(lines), "warning")]


def _panels(netlist: Netlist) -> list[Block]:
    """What is on the panels, as a row each."""
    said = (("panel-front", "Front", front(netlist)), ("panel-back", "Back", back(netlist)))
    figures = []
    for name, title, fittings in said:
        if fittings:
            svg, width, height = panel(name, f"{title} of {netlist.name}", [(f.kind, f.name) for f in fittings])
            figures.append(Figure(name, title, svg, width, height))
    return [Gallery("Controls and sockets in the order of the signal, not to scale", "panels", tuple(figures))] if figures else []


def _contents(pages: Sequence[Page]) -> list[Block]:
    """One line per page."""
    if not pages:
        return []
    return [Heading("Contents", "contents"), Items(tuple(t(Link(page.title, page.name), f": {page.lead}") for page in pages))]


def _facts(design: Design, netlist: Netlist, results: Results):
    region = netlist.region
    tubes = ", ".join(f"{tube.ref} {tube.type.name}" for tube in netlist.of(Tube))
    maker = str(design.shop.get("maker", "") or "")
    if maker:
        address = str(design.shop.get("address", "") or "")
        yield "Maker", t(f"{maker}{', ' + address if address else ''}")
    yield "Tubes", t(tubes)
    yield "Bias", t(f"{netlist.bias_scheme} bias")
    yield "Controls", t(", ".join(pot.control for pot in player_pots(netlist)))
    point = results.large_signal.point("clipping") if results.large_signal else None
    if point is not None:
        said = f"about {show_watts(point.level.watts, 2)} at the speaker when a flat begins to show: see the "
        yield "Output", t(said, Link("bench test", "bench-test", "power"))
    elif results.speaker_watts is not None:
        said = f"about {show_watts(results.speaker_watts, 2)} clean at the speaker; worked out in the "
        yield "Output", t(said, Link("design notes", "design-notes", "output"))
    speaker = next(iter(netlist.stages_of("speaker")), None)
    if speaker and (inside := fitted_speakers(netlist)):
        yield "Speaker", t(inside)
    yield "Mains", t(f"{show_volts(float(region.nominal_volts))}, {show_hertz(netlist.mains_hertz)}, region {region.name}")
    yield "Takes from the mains", t(f"{words.watts(results.mains.watts)} at idle")
    yield "Rated on the plate", t(Link(f"{rated_volt_amps(netlist, results)[0]} VA", "labels", "figures"))
    yield (
        "Hazard",
        t(
            f"Lethal: up to {words.volts(highest_volts(results))} on capacitors that hold {words.joules(results.stored_joules)}; see the ",
            Link("safety sheet", "safety"),
        ),
    )
    yield "Skill", t("This is not a first project: mains, high tension and metalwork. Read the safety sheet first.")
    yield "Tools", t("As listed at the end of ", Link("the kit list", "kit", "tools"))


def _findings(findings: Findings) -> list[Block]:
    """Open findings, waivers with their reasons, and the count of rules that could not be evaluated."""
    opened = [d for d in findings.diagnostics if d.severity is not Severity.INFO]
    waived = [j for j in findings.judged if j.waiver]
    blind = sorted({j.rule.code for j in findings.judged if j.outcome.state == "not evaluated"})
    blocks: list[Block] = []
    if opened:
        items: tuple[Text, ...] = tuple(t(Strong(f"{d.severity.value} {d.code}: "), d.message) for d in opened)
        blocks.append(Items(items))
    else:
        blocks.append(
            Paragraph(
                t(
                    "No open finding above info. What was checked, with its numbers, stands on the page ",
                    Link("Judgement", "judgement"),
                    ".",
                )
            )
        )
    if waived:
        rows = tuple(
            Row(
                (
                    txt(j.rule.code),
                    txt(j.outcome.element),
                    txt(j.outcome.message),
                    txt(j.waiver.reason),
                    txt(j.waiver.by),
                    txt(j.waiver.date),
                ),
                state="waived",
            )
            for j in waived
            if j.waiver
        )
        blocks.append(Table("Waived findings", ("Rule", "Element", "Finding", "Reason", "By", "Date"), rows))
    if blind:
        lack, were = ("1 rule lacks", "was") if len(blind) == 1 else (f"{len(blind)} rules lack", "were")
        blocks.append(Paragraph(t(f"{lack} data for some element and {were} not evaluated there: ", ", ".join(blind), ".")))
    return blocks
