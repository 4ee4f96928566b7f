"""The kit list: every part of the netlist, by class and value, with what must be on the label of the bag."""

from __future__ import annotations

from ..circuit.netlist import (
    Bond,
    Capacitor,
    Choke,
    Diode,
    Fuse,
    Inlet,
    Jack,
    Lamp,
    Netlist,
    OutputTransformer,
    Part,
    Pot,
    PowerTransformer,
    Resistor,
    Speaker,
    Stud,
    Switch,
    Tube,
)
from ..rules.resistor_limits import SMALLEST_WATTS
from ..units import (
    capacitor_code,
    colour_bands,
    show_amps,
    show_farads,
    show_henries,
    show_ohms,
    show_percent,
    show_volts,
    show_watts,
)
from .model import BOX, Block, Heading, Page, Row, Table, num, txt

PRINTED_WATTS = 3.0
"""From this size on a resistor has its value printed on it (common practice)."""
FINE = 0.02
"""Tolerances up to this come with five bands (common practice)."""


def kit_page(netlist: Netlist, also: Table | None = None) -> Page:
    """Counts for the order, then resistors, capacitors, everything else; `also` is what the netlist does not count."""
    blocks: list[Block] = [
        Heading("To order", "order"),
        _counted(netlist),
        Heading("Resistors", "resistors"),
        _resistors(netlist),
        Heading("Capacitors", "capacitors"),
        _capacitors(netlist),
        Heading("Everything else", "others"),
        _others(netlist),
    ]
    if also is not None:
        blocks += [Heading("Also needed", "also-needed"), also]
    count = len(netlist.parts)
    return Page("kit", "Kit list", f"{count} parts, as the netlist counts them. Tick when picked, tick when fitted.", tuple(blocks))


def _counted(netlist: Netlist) -> Table:
    """Resistors and capacitors by what one asks a shop for. The rows have no anchor: the parts themselves are counted below."""
    groups: dict[tuple[str, ...], list[str]] = {}
    for part in sorted(netlist.of(Resistor), key=lambda r: (r.ohms, r.watts or SMALLEST_WATTS)):
        tolerance = show_percent(_tolerance(part)) if part.tolerance is not None else ""
        groups.setdefault(("resistor", show_ohms(part.ohms), _watts(part), part.technology, tolerance), []).append(part.ref)
    for part in sorted(netlist.of(Capacitor), key=lambda c: (c.farads, c.volts or 0)):
        volts = show_volts(part.volts) if part.volts else "–"
        tolerance = show_percent(part.tolerance) if part.tolerance is not None else ""
        groups.setdefault(("capacitor", show_farads(part.farads), volts, part.technology, tolerance), []).append(part.ref)
    rows = tuple(
        Row(
            (
                num(f"{len(refs)} ×"),
                txt(what),
                num(value),
                num(rating),
                txt(", ".join(x for x in (kind, fine) if x)),
                txt(", ".join(refs)),
                BOX,
            )
        )
        for (what, value, rating, kind, fine), refs in groups.items()
    )
    columns = ("Count", "What", "Value", "Rating", "Kind", "Parts", "Pick")
    return Table("Resistors and capacitors by value and rating", columns, rows, _assumed(netlist).strip())


def _tolerance(part: Resistor) -> float:
    return part.tolerance if part.tolerance is not None else 0.05


def _watts(part: Resistor) -> str:
    """Its rating; where the spec gives none, what the rules judge it as."""
    return show_watts(part.watts) if part.watts else f"{show_watts(SMALLEST_WATTS)} *"


def _assumed(netlist: Netlist) -> str:
    """The footnote to the ratings that the spec does not give."""
    if all(part.watts for part in netlist.of(Resistor)):
        return ""
    return f"* The spec gives no power: judged as {show_watts(SMALLEST_WATTS)}, the least to fit. "


def _marking(part: Resistor) -> str:
    """Its colour bands, or "printed" for what is too large for them."""
    if part.technology == "wirewound" or (part.watts or 0.0) >= PRINTED_WATTS:
        return "printed"
    tolerance = _tolerance(part)
    found = colour_bands(part.ohms, tolerance, 5 if tolerance <= FINE else 4)
    return " ".join(found) if isinstance(found, tuple) else "printed"


def _resistors(netlist: Netlist) -> Table:
    rows = []
    for part in sorted(netlist.of(Resistor), key=lambda r: (r.ohms, r.watts or 0)):
        rows.append(
            Row(
                (
                    txt(part.ref),
                    num(show_ohms(part.ohms)),
                    num(_watts(part)),
                    txt(part.technology),
                    txt(_marking(part)),
                    txt(_job(part)),
                    BOX,
                    BOX,
                ),
                anchor=f"part-{part.ref}",
            )
        )
    note = (
        f"{_assumed(netlist)}Bands are for 5 % parts unless the spec says otherwise; read them from the end where they are closer to the edge, "
        "and meter every one."
    )
    return Table("Resistors by value", ("Part", "Value", "Power", "Kind", "Bands", "Job", "Pick", "Fit"), tuple(rows), note)


def _capacitors(netlist: Netlist) -> Table:
    rows = []
    for part in sorted(netlist.of(Capacitor), key=lambda c: (c.farads, c.volts or 0)):
        rows.append(
            Row(
                (
                    txt(part.ref),
                    num(show_farads(part.farads)),
                    num(show_volts(part.volts) if part.volts else "–"),
                    txt(part.technology),
                    txt((capacitor_code(part.farads) if part.farads < 1e-6 else None) or "printed"),
                    txt(_job(part)),
                    BOX,
                    BOX,
                ),
                anchor=f"part-{part.ref}",
            )
        )
    return Table("Capacitors by value", ("Part", "Value", "Rating", "Kind", "Code", "Job", "Pick", "Fit"), tuple(rows))


def _others(netlist: Netlist) -> Table:
    rows = [
        Row((txt(p.ref), txt(describe(p) + _spare_taps(netlist, p)), txt(_job(p)), BOX, BOX), anchor=f"part-{p.ref}")
        for p in netlist.parts
        if not isinstance(p, Resistor | Capacitor)
    ]
    return Table("Tubes, pots, transformers and hardware", ("Part", "What", "Job", "Pick", "Fit"), tuple(rows))


def _spare_taps(netlist: Netlist, part: Part) -> str:
    """Primary taps for other mains that the part has as well."""
    if not isinstance(part, PowerTransformer):
        return ""
    stage = next(iter(netlist.stages_of("power-transformer")), None)
    taps = stage.facts.get("primary_taps_volts", ()) if stage else ()
    others = [v for v in taps if isinstance(v, float) and v != part.primary_volts] if isinstance(taps, tuple) else []
    return f"; also wound for {' and '.join(show_volts(v) for v in others)}, not used here" if others else ""


def _job(part: Part) -> str:
    """Stage and job, so that two plate loads are told apart."""
    job = part.label or part.role.replace("-", " ")
    return job if job.casefold().startswith(part.stage.casefold()) else f"{part.stage}: {job}"


def describe(part: Part) -> str:
    """What to buy, in one line."""
    match part:
        case Resistor():
            return " ".join(x for x in (show_ohms(part.ohms), show_watts(part.watts) if part.watts else "", part.technology) if x)
        case Capacitor():
            return " ".join(x for x in (show_farads(part.farads), show_volts(part.volts) if part.volts else "", part.technology) if x)
        case Pot():
            return f"{show_ohms(part.ohms)} {part.taper} pot" + (f", {show_watts(part.watts)}" if part.watts else "")
        case Tube():
            return f"{part.type.name}, {part.type.base.name} socket"
        case Diode():
            return f"{part.type.name}, {show_volts(float(part.type.repetitive_reverse_volts))} reverse"
        case Choke():
            return f"choke {show_henries(part.henries)}, {show_ohms(part.ohms)}" + (f", {show_amps(part.amps)}" if part.amps else "")
        case OutputTransformer():
            taps = ", ".join(show_ohms(tap.ohms) for tap in part.taps)
            return f"output transformer {part.topology}, {show_ohms(part.primary_ohms)} to {taps}" + (
                f", {show_watts(part.watts)}" if part.watts else ""
            )
        case PowerTransformer():
            return f"power transformer, {show_volts(part.primary_volts)}: " + "; ".join(_winding(w) for w in part.windings)
        case Fuse():
            volts = f" {show_volts(part.volts)}" if part.volts else ""
            return f"fuse {part.characteristic} {show_amps(part.amps)} {part.breaking}{volts}".replace("  ", " ")
        case Switch():
            return f"switch, {part.poles} pole" + (f", {show_volts(part.volts)} {show_amps(part.amps)}" if part.volts and part.amps else "")
        case Jack():
            return f"jack, {part.purpose}" + (", with contact" if part.switched else "")
        case Inlet():
            return f"mains inlet {part.kind}, {part.cord_cores} core"
        case Stud():
            return f"earth stud {part.thread} with star washer and nut"
        case Bond():
            return f"bond wire, {part.kind}" + (f", {part.area_mm2:g} mm²" if part.area_mm2 else "")
        case Lamp():
            return f"{part.kind} lamp {show_volts(part.volts)} {show_amps(part.amps)}"
        case Speaker():
            return f"speaker {show_ohms(part.ohms)}" + (f", {show_watts(part.watts)}" if part.watts else "")
        case _:
            return type(part).__name__.lower()


def _winding(winding) -> str:
    volts = f"{winding.volts:g}-0-{winding.volts:g} V" if winding.centre_tapped else show_volts(winding.volts)
    return f"{volts} {show_amps(winding.amps)}"
