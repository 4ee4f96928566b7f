"""The bias section of the chart page: what the output tubes are set to, or set themselves to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ..analysis.results import BiasRange, Results, SectionPoint
from ..circuit.netlist import GROUND, Netlist, Pot, Resistor, TubeSection
from . import keys, words
from .model import BLANK, BOX, Block, Facts, Heading, Items, Link, Paragraph, Row, Strong, Table, Text, num, t, txt

MATCH = "Cathode currents of a pair: within 10 % of each other, 5 % is good (common practice; a test handbook of the 1950s, as quoted, asks 5 %)."


def bias_trimmers(netlist: Netlist) -> tuple[Pot, ...]:
    """The pots that set a fixed bias."""
    refs = [ref for stage in netlist.stages_of("fixed-bias") for role, ref in stage.parts.items() if role.startswith("adjustment")]
    return tuple(pot for pot in netlist.of(Pot) if pot.ref in refs)


def bias_blocks(netlist: Netlist, results: Results) -> list[Block]:
    """The heading and the targets; how a fixed bias is set is a step of first power."""
    found = [(netlist.by_section[ref], results.nominal.sections[ref]) for ref in netlist.power_sections if ref in results.nominal.sections]
    span = results.bias_range
    blocks: list[Block] = [Heading("Bias", "bias"), _targets(netlist, results, found, fixed=span is not None)]
    if span is None:
        text = (
            "The cathode resistors set the tubes: there is nothing to adjust. A reading outside the band is a tired tube or a wrong part."
        )
        blocks.append(Paragraph(t(text, f" {MATCH}" if len(found) > 1 else "")))
        return blocks
    return [*blocks, Paragraph(t("How it is set: ", Link("first power", "first-power", "idle"), "."))]


def procedure(netlist: Netlist, results: Results) -> list[Block]:
    """How a fixed bias is set, with its targets; empty without an adjustment."""
    span = results.bias_range
    if span is None:
        return []
    found = [(netlist.by_section[ref], results.nominal.sections[ref]) for ref in netlist.power_sections if ref in results.nominal.sections]
    table = _targets(netlist, results, found, fixed=True)
    return [_reach(span), table, Items(tuple(_steps(results, span, len(found) > 1)), ordered=True)]


def _targets(netlist: Netlist, results: Results, found: list[tuple[TubeSection, SectionPoint]], *, fixed: bool) -> Table:
    rows = []
    for section, point in found:
        part = cathode_part(netlist, section)
        rating = section.section.rating()
        share = words.percent(100.0 * point.plate_watts / float(rating.plate_watts)) if rating and rating.plate_watts else "–"
        across = results.nominal.volts.get(section.cathode, 0.0)
        rows.append(
            Row(
                (
                    txt(section.ref),
                    txt(part.ref if part else "–"),
                    num(words.volts(across) if part else "–"),
                    num(words.amps(point.cathode_amps), keys.section(section.ref, "cathode_amps")),
                    num(words.volts(results.nominal.volts.get(section.grid, 0.0))),
                    num(share),
                    BLANK,
                    BOX,
                ),
                anchor=f"bias-{section.ref}",
            )
        )
    shared = {r.resistor for r in results.cathode_biases if len(r.sections) > 1}
    at = ", ".join(f"{c.name} at {10 * c.position:g}" for c in netlist.controls if netlist.by_ref[c.ref].stage == "bias")
    note = f"Nominal mains{', ' + at if at else ''}; the cathode current is plate and screen together."
    if shared:
        note += f" {', '.join(sorted(shared))} carries all of them."
    kind = "Target at each output tube" if fixed else "Expected at each output tube"
    head = "Test resistor" if fixed else "Cathode resistor"
    columns = ("Tube", head, "Across it", "Cathode current", "Grid", "Idle, of rating", "Measured", "Pass")
    return Table(kind, columns, tuple(rows), note, "bias-targets")


def cathode_part(netlist: Netlist, section: TubeSection) -> Resistor | None:
    """The resistor from the cathode to ground that the reading is taken over."""
    if section.cathode == GROUND:
        return None
    return next((p for p, _ in netlist.on_net[section.cathode] if isinstance(p, Resistor) and GROUND in {q.net for q in p.pins}), None)


def _reach(span: BiasRange) -> Facts:
    def idle(percents: Mapping[str, float]) -> str:
        return ", ".join(f"{ref} {words.percent(x)}" for ref, x in percents.items())

    return Facts(
        (
            ("Coldest end", t(Strong(words.volts(span.coldest_volts)), f" at the grids; idle dissipation {idle(span.idle_percent_cold)}")),
            ("Hottest end", t(Strong(words.volts(span.hottest_volts)), f" at the grids; idle dissipation {idle(span.idle_percent_hot)}")),
            ("Wiper lifted", t(Strong(words.volts(span.wiper_open_volts)), " at the grids: colder than the coldest end is the safe side")),
        )
    )


def _steps(results: Results, span: BiasRange, pair: bool) -> Iterator[Text]:
    """Coldest first; a clip is moved, and the pot is turned by a person alone, only on a dead amp."""
    hot = max(span.idle_percent_hot.values(), default=0.0)
    if hot > 100.0:
        yield t(
            f"The hottest end runs the tubes at {words.percent(hot)} of their rating: never go there with tubes in. Coldest end first, always."
        )
    yield t(
        "Dead. Clips over the test resistors, load connected, volume at zero, trimmer at its coldest end. Power on, stand clear, warm up."
    )
    yield t(
        "Off, plug out, wait, meter. Turn the trimmer a little towards the hot end. Stand clear, power on, read. Again, until the tube that draws "
        "more shows the target of the table."
    )
    yield t(
        "Only with a second person present, who knows the isolator: turn it with power on, with an insulated tool, one hand, the other behind "
        "your back. A person alone never does."
    )
    yield t(
        "The target is for nominal mains: read the mains, and take the nearest column of chart 4. Read again after 15 and after 30 minutes."
    )
    if pair:
        yield t(MATCH)
