"""The two steps of first power that belong to the output tubes: putting them in, and their idle current."""

from __future__ import annotations

from collections.abc import Iterator

from ..analysis.results import FirstPower, Results, SectionPoint
from ..circuit.netlist import GROUND, Netlist, Resistor, TubeSection
from ..units import show_ohms
from . import keys, words
from .bias import MATCH, bias_trimmers, cathode_part, procedure
from .model import BLANK, BOX, Block, Items, Link, Paragraph, Row, Strong, Table, Text, num, t, txt
from .terminals import terminal_text

COLUMNS = ("No.", "Tube", "Probe", "Expect", "Low", "High", "Stop if", "Measured", "Pass")
FULL = 100.0
"""Percent of a plate's rating."""


def output_blocks(netlist: Netlist, results: Results, first: FirstPower) -> list[Block]:
    """Lamp in, tubes in, the plates watched; with fixed bias at its coldest end."""
    fixed = bool(bias_trimmers(netlist))
    behind = first.limited_volts
    left = f": about {words.volts(behind)} is left for it (computed from the filament's law, from memory)" if behind is not None else ""
    refs = ", ".join(dict.fromkeys(netlist.by_section[ref].tube for ref in netlist.power_sections))
    steps: list[Text] = [
        t("Dead. Load connected, volume at zero" + (", feedback still open." if results.feedback else ".")),
        t(
            f"{'Bias trimmer at its coldest end, as read in the step before. ' if fixed else ''}{refs} in. Clips over the cathode resistors. Lamp in."
        ),
        t(
            "Power on. The lamp comes on with the cold heaters and stays lit: it is as large as the amp, and takes its share of the mains",
            f"{left}. Heaters are starved and the tubes draw little, so calm here proves that nothing is shorted and no more. ",
            Strong("It grows brighter again, or the plug-in meter falls well below that: off."),
        ),
        t("Dim the room. Five minutes: no plate glows. ", Strong("A dull red patch: off at once.")),
        t("Calm: off, dead, lamp out, full mains, and read the table."),
    ]
    rows = tuple(_cold_rows(netlist, results, first) if fixed and first.cold_cathode_amps else _self_rows(netlist, results))
    note = (
        "Full mains, trimmer still at its coldest end. The tubes must draw little. Low and high are the ends of the mains."
        if fixed
        else "Full mains. The cathode resistors set the tubes; low and high are the ends of the mains."
    )
    return [Items(tuple(steps), ordered=True), Table("Over the cathode resistors", COLUMNS, rows, note, "first-cathodes")]


def _cold_rows(netlist: Netlist, results: Results, first: FirstPower) -> Iterator[Row]:
    """Fixed bias, cold end: far below the idle target."""
    for ref, found in first.cold_cathode_amps.items():
        section, point = netlist.by_section[ref], results.nominal.sections.get(ref)
        part = cathode_part(netlist, section)
        if part is None or point is None:
            continue
        low, expect, high = (num(words.volts(amps * part.ohms)) for amps in found)
        target = words.volts(point.cathode_amps * part.ohms)
        cells = (txt(ref), txt(_at(netlist, section)), expect, low, high, txt(f"over {target}, the idle target"))
        yield Row((num(""), *cells, BLANK, BOX), anchor=f"first-cold-{ref}")


def _self_rows(netlist: Netlist, results: Results) -> Iterator[Row]:
    """Cathode bias: the volts it sets itself to; a section on ground has none to show."""
    done: set[str] = set()
    for ref in netlist.power_sections:
        section = netlist.by_section[ref]
        if section.cathode == GROUND or section.cathode in done or section.cathode not in results.nominal.volts:
            continue
        done.add(section.cathode)
        volts = [(results.operating[name].volts[section.cathode], name) for name in ("nominal", "low", "high")]
        cells = [num(words.volts(v), keys.at("conditions", name, "nodes", section.cathode, "dc_volts")) for v, name in volts]
        yield Row(
            (num(""), txt(ref), txt(_at(netlist, section)), *cells, txt(_overload(netlist, results, section)), BLANK, BOX),
            anchor=f"first-cathode-{ref}",
        )


def _overload(netlist: Netlist, results: Results, section: TubeSection) -> str:
    """Cathode volts at which the plate would be at its rating: current in proportion, plate volts as they are."""
    point = results.nominal.sections.get(section.ref)
    rating = section.section.rating()
    if point is None or rating is None or rating.plate_watts is None or point.plate_watts <= 0.0:
        return "0 V, or far outside"
    at_rating = point.cathode_to_ground_volts * float(rating.plate_watts) / point.plate_watts
    return f"0 V, or over {words.volts(at_rating)}"


def _at(netlist: Netlist, section: TubeSection) -> str:
    tube = netlist.by_ref[section.tube]
    pin = next((p.name for p in tube.pins if p.net == section.cathode), "")
    return terminal_text(tube.ref, pin, netlist) if pin else "cathode"


def idle_blocks(netlist: Netlist, results: Results) -> list[Block]:
    """Fixed bias: how it is set. Cathode bias: from volts to current to dissipation, computed."""
    found = [(netlist.by_section[ref], results.nominal.sections[ref]) for ref in netlist.power_sections if ref in results.nominal.sections]
    if results.bias_range is not None:
        return procedure(netlist, results)
    blocks: list[Block] = [
        Paragraph(
            t(
                "Nothing to set: read the cathode volts, and the rest follows. Cathode current = volts ÷ resistor; the screen's share goes off; "
                "dissipation = plate to cathode volts × plate current. Read again after 15 and after 30 minutes."
            )
        ),
        _dissipation(netlist, results, found),
    ]
    if len(found) > 1:
        blocks.append(Paragraph(t(MATCH)))
    blocks.append(Paragraph(t("Targets of every output tube: ", Link("bias", "chart", "bias"), ".")))
    return blocks


def _dissipation(netlist: Netlist, results: Results, found: list[tuple[TubeSection, SectionPoint]]) -> Table:
    rows = []
    for section, point in found:
        part = cathode_part(netlist, section)
        rating = section.section.rating()
        watts = float(rating.plate_watts) if rating and rating.plate_watts else None

        def key(field: str, ref: str = section.ref) -> str:
            return keys.at("conditions", "nominal", "sections", ref, field)

        screen = num(words.amps(point.screen_amps), key("screen_amps")) if point.screen_amps is not None else num("–")
        rows.append(
            Row(
                (
                    num(""),
                    txt(section.ref),
                    txt(f"{part.ref} {show_ohms(part.ohms)}" if isinstance(part, Resistor) else "–"),
                    num(words.volts(point.cathode_to_ground_volts), key("cathode_to_ground_volts")),
                    num(words.amps(point.cathode_amps), key("cathode_amps")),
                    screen,
                    num(words.volts(point.plate_volts), key("plate_volts")),
                    num(words.watts(point.plate_watts), key("plate_watts")),
                    num(words.percent(FULL * point.plate_watts / watts) if watts else "–"),
                    BLANK,
                    BOX,
                ),
                anchor=f"first-idle-{section.ref}",
            )
        )
    columns = (
        "No.", "Tube", "Over", "Cathode", "Cathode current", "Of it screen", "Plate to cathode", "Dissipation", "Of rating",
        "Yours, of rating", "Pass",
    )  # fmt: skip
    note = f"Nominal mains. Stop if yours is over {FULL:.0f} % of the rating."
    return Table("From volts to watts", columns, tuple(rows), note, "first-idle")
