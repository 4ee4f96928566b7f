"""What a part is, in one line: what to buy, what it does, what is written on it."""

from __future__ import annotations

from ..circuit.netlist import (
    Bond,
    Capacitor,
    Choke,
    Coupler,
    Diode,
    Fuse,
    Inlet,
    InterstageTransformer,
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
    Winding,
)
from ..rules.resistor_limits import SMALLEST_WATTS, element_volts
from ..units import capacitor_code, show_amps, show_farads, show_henries, show_ohms, show_percent, show_volts, show_watts

CODED_FARADS = 1e-6
"""Up to this a capacitor carries three digits (common practice); larger ones say their value."""
SWITCHES = {"mains": "mains switch", "standby": "standby switch", "footswitch": "footswitch in its pedal"}
INLETS = {"iec-c14": "IEC C14", "captive-cord": "captive cord"}
KINDS = {"electrolytic": "electrolytic, polarised"}


def rated_watts(part: Resistor) -> str:
    """Its rating; where the spec gives none, what the rules judge it as, with a star."""
    return show_watts(part.watts) if part.watts else f"{show_watts(SMALLEST_WATTS)} *"


def rated_volts(part: Resistor) -> str:
    """The volts its element must stand, as the rules judge it."""
    found = element_volts(part)
    return show_volts(found[0]) if found else "–"


def code(part: Capacitor) -> str:
    """The three digits on it, or "printed"."""
    return (capacitor_code(part.farads) if part.farads < CODED_FARADS else None) or "printed"


def kind(part: Capacitor) -> str:
    """Its technology as one asks for it."""
    return KINDS.get(part.technology, part.technology.replace("class-", "class "))


def spare_taps(netlist: Netlist, part: Part) -> str:
    """Primary taps for other mains that the part has as well."""
    if not isinstance(part, PowerTransformer):
        return ""
    stage = next(iter(netlist.stages_of("power-transformer")), None)
    taps = stage.facts.get("primary_taps_volts", ()) if stage else ()
    others = [v for v in taps if isinstance(v, float) and v != part.primary_volts] if isinstance(taps, tuple) else []
    return f"; also tapped for {' and '.join(show_volts(v) for v in others)}, its lead insulated" if others else ""


def job(part: Part) -> str:
    """Stage and job, so that two plate loads are told apart."""
    said = part.label or part.role.replace("-", " ")
    return said if said.casefold().startswith(part.stage.casefold()) else f"{part.stage}: {said}"


def describe(part: Part) -> str:
    """What to buy, in one line."""
    match part:
        case Resistor():
            return " ".join(
                x for x in (show_ohms(part.ohms), show_watts(part.watts) if part.watts else "", _fine(part), part.technology) if x
            )
        case Capacitor():
            return " ".join(x for x in (show_farads(part.farads), show_volts(part.volts) if part.volts else "", part.technology) if x)
        case Pot():
            track = f", rear track of {part.gang}" if part.gang else ""
            return f"{show_ohms(part.ohms)} {part.taper} pot{track}" + (f", {show_watts(part.watts)}" if part.watts else "")
        case Tube():
            return f"{part.type.name}, {part.type.base.name} socket"
        case Diode():
            return f"{part.type.name}, {show_volts(float(part.type.repetitive_reverse_volts))} reverse"
        case Choke():
            return f"choke {show_henries(part.henries)}, {show_ohms(part.ohms)}" + (f", {show_amps(part.amps)}" if part.amps else "")
        case OutputTransformer() | PowerTransformer():
            return _transformer(part)
        case InterstageTransformer():
            return f"interstage transformer 1 to {part.ratio:g}, centre-tapped secondary, primary {show_henries(part.henries)}"
        case Fuse():
            return f"fuse {fuse_rating(part)}"
        case Switch():
            return (
                f"{SWITCHES.get(part.where, 'switch')}, {part.poles} pole"
                + (f", {show_volts(part.volts)} {show_amps(part.amps)}" if part.volts and part.amps else "")
                + (f", breaks {show_volts(part.dc_volts)} direct" if part.dc_volts else "")
            )
        case Jack():
            return f"jack, {part.purpose}" + (", with contact" if part.switched else "")
        case Inlet():
            return f"mains inlet, {INLETS.get(part.kind, part.kind)}, {part.cord_cores} core"
        case Stud():
            return f"earth stud {part.thread} with star washer and nut"
        case Bond():
            return f"bond wire, {part.kind}" + (f", {part.area_mm2:g} mm²" if part.area_mm2 else "")
        case Coupler():
            volts = f", {show_volts(part.cell_volts)}" if part.cell_volts else ""
            watts = f", {show_watts(part.watts)}" if part.watts else ""
            lit = f"{show_ohms(part.bright_ohms)} at {show_amps(part.bright_amps)}"
            return f"optical coupler, LED and LDR in one case: {show_ohms(part.dark_ohms)} dark, {lit}{volts}{watts}"
        case Lamp():
            return f"{part.kind} lamp {show_volts(part.volts)} {show_amps(part.amps)}"
        case Speaker():
            return f"speaker {show_ohms(part.ohms)}" + (f", {show_watts(part.watts)}" if part.watts else "")
        case _:
            return type(part).__name__.lower()


def fuse_rating(part: Fuse) -> str:
    """Letter, amps, breaking capacity, volts, as on the fuse: "T 500 mA H 250 V"."""
    return " ".join(
        x for x in (part.characteristic, show_amps(part.amps), part.breaking, show_volts(part.volts) if part.volts else "") if x
    )


def _fine(part: Resistor) -> str:
    return show_percent(part.tolerance) if part.tolerance is not None else ""


def _transformer(part: OutputTransformer | PowerTransformer) -> str:
    if isinstance(part, PowerTransformer):
        return f"power transformer, {show_volts(part.primary_volts)}: " + "; ".join(_winding(w) for w in part.windings)
    taps = ", ".join(show_ohms(tap.ohms) for tap in part.taps)
    watts = f", {show_watts(part.watts)}" if part.watts else ""
    share = f", screen taps at {show_percent(part.screen_tap)}" if part.screen_tap is not None else ""
    return f"output transformer {part.topology}, {show_ohms(part.primary_ohms)} to {taps}{share}{watts}"


def _winding(winding: Winding) -> str:
    volts = f"{winding.volts:g}-0-{winding.volts:g} V" if winding.centre_tapped else show_volts(winding.volts)
    return f"{volts} {show_amps(winding.amps)}"
