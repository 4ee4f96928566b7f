"""The first page: which amp this is, what it was compiled from, and what is open about it."""

from __future__ import annotations

from ..analysis.results import Results
from ..circuit.netlist import Netlist, Tube
from ..diagnostics import Severity
from ..rules.model import Findings
from ..spec.design import Design
from ..units import show_hertz, show_ohms, show_volts, show_watts
from . import words
from .model import Block, Caution, Facts, Heading, Items, Link, Markdown, Page, Paragraph, Row, Strong, Table, Text, t, txt

SOLD = {"own-use": "built for own use", "kit": "sold as a kit", "finished": "sold finished"}


def cover_page(
    design: Design, netlist: Netlist, results: Results, findings: Findings, checksum: str, version: str, caution: Caution
) -> Page:
    """Identity, line-up, open findings and waivers."""
    model = design.spec.block("model")
    blocks: list[Block] = [caution]
    if summary := str(model.get("summary", "") or "").strip():
        blocks.append(Markdown(summary))
    blocks += [
        Heading("This amp", "amp"),
        Facts(tuple(_facts(design, netlist, results))),
        Heading("Findings", "findings"),
        *_findings(findings),
        Heading("Compiled from", "source"),
        Facts(
            (
                *((name, t(str(model.get(key)))) for name, key in (("Revision", "revision"), ("Spec date", "date")) if model.get(key)),
                ("Checksum", t(checksum)),
                ("Compiler", t(f"Humdinger {version}")),
            )
        ),
        Paragraph(
            t(
                "Two manuals with one checksum, one lock file and one compiler version are the same to the byte. All numbers: ",
                Link("results", "numbers"),
                ".",
            )
        ),
    ]
    revision = f", revision {model.get('revision')}" if model.get("revision") else ""
    sold = SOLD.get(str(model.get("sold_as", "")), "")
    return Page("index", netlist.name, f"Build manual{revision}{'; ' + sold if sold else ''}.", tuple(blocks))


def _facts(design: Design, netlist: Netlist, results: Results):
    region = netlist.region
    tubes = ", ".join(f"{tube.ref} {tube.type.name}" for tube in netlist.of(Tube))
    maker = str(design.shop.get("maker", "") or "")
    if maker:
        address = str(design.shop.get("address", "") or "")
        yield "Maker", t(f"{maker}{', ' + address if address else ''}")
    yield "Tubes", t(tubes)
    yield "Bias", t(f"{netlist.bias_scheme} bias")
    yield "Controls", t(", ".join(c.name for c in netlist.controls))
    if results.load is not None:
        yield "Output", t(f"about {show_watts(results.load.clean_watts, 2)}: {results.load.formula}")
    speaker = next(iter(netlist.stages_of("speaker")), None)
    if speaker and speaker.parts.get("speaker"):
        part = netlist.by_ref[speaker.parts["speaker"]]
        yield "Speaker", t(f"{show_ohms(getattr(part, 'ohms', 0.0))}")
    yield "Mains", t(f"{show_volts(float(region.nominal_volts))}, {show_hertz(netlist.mains_hertz)}, region {region.name}")
    yield "Takes from the mains", t(f"{words.watts(results.mains.watts)} at idle")
    yield "Skill", t("This is not a first project: mains, high tension and metalwork. Read the safety sheet first.")


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
        blocks.append(Paragraph(t("No open finding above info. What was checked, with numbers: ", Link("judgement", "judgement"), ".")))
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
