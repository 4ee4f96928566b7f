"""What stands beside a part: designator, value and rating in trade notation, and the names of nets."""

from __future__ import annotations

from collections.abc import Iterable

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
    TubeSection,
)
from ..units.format import code_farads, code_ohms, show, show_percent, show_volts
from ..units.values import Quantity

Rows = tuple[tuple[str, str], ...]
LONG = 10
"""Value and ratings beside a part take another line where one would be longer than this."""
POT_LONG = 11
"""The same beside a pot, so that resistance and taper stay together."""
LEVEL_LONG = 14
"""The same above or below a part that lies."""


def code(value: float, unit: str = "") -> str:
    """Amps and the like without a blank, as they stand on the part: 500mA, 1.25A."""
    return show(Quantity(value, unit)).replace(" ", "")


def ohms_code(ohms: float) -> str:
    """A resistance as IEC 60062 writes it."""
    return code_ohms(ohms) if ohms > 0 else "0R"


def farads_code(farads: float) -> str:
    """A capacitance as IEC 60062 writes it, with a proper micro sign."""
    return code_farads(farads).replace("u", "µ")


def rated(value: str, *ratings: str) -> Rows:
    """Value and ratings, as few lines as hold them."""
    return packed((value, *ratings), LONG)


def packed(words: Iterable[str], most: int, style: str = "value") -> Rows:
    """Words in order, as many on a line as fit."""
    lines: list[str] = []
    for word in filter(None, words):
        if lines and len(lines[-1]) + 1 + len(word) <= most:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return tuple((line, style) for line in lines)


def plain(value: float | None, unit: str) -> str:
    """A rating, "" when not known."""
    return "" if value is None else f"{value:.4g}{unit}"


def value_rows(part: Part) -> Rows:
    """Value and rating of a part."""
    match part:
        case Resistor():
            kind = {"flameproof": "flameproof", "fusible": "fusible", "ntc": "NTC"}.get(part.technology, "")
            return rated(ohms_code(part.ohms), plain(part.watts, "W"), kind)
        case Capacitor():
            kind = {"class-X2": "X2", "class-Y2": "Y2"}.get(part.technology, "")
            return rated(farads_code(part.farads), plain(part.volts, "V"), kind)
        case Pot():
            return (
                *packed((ohms_code(part.ohms), part.taper, plain(part.watts, "W")), POT_LONG),
                (f"{part.control}, rear" if part.gang else part.control, "value"),
            )
        case Choke():
            return ((f"{part.henries:g} H {part.ohms:g} Ω", "value"),)
        case Diode():
            return ((part.type.name, "value"),)
        case Fuse():
            if part.where == "thermal":
                return ((part.label, "value"),)
            return rated(f"{part.characteristic} {code(part.amps, 'A')}", part.breaking, plain(part.volts, "V"))
        case Switch():
            if part.dc_volts and part.where == "standby":  # it breaks B+: its rating for alternating volts says nothing there
                direct = " ".join(x for x in (f"{plain(part.dc_volts, 'V')} DC", plain(part.amps, "A")) if x)
                return ((part.label, "value"), (direct, "value"))
            return ((part.label, "value"), *_contact(part.volts, part.amps))
        case Lamp():
            return ((part.kind, "value"), (f"{plain(part.volts, 'V')} {code(part.amps, 'A')}", "value"))
        case Coupler():
            return (("LED and LDR", "value"), (f"{ohms_code(part.dark_ohms)} to {ohms_code(part.bright_ohms)}", "value"))
        case Jack():
            return ((part.label, "value"),)
        case Inlet():
            return (
                (_words(part.kind).upper() if part.kind.startswith("iec") else _words(part.kind), "value"),
                *_contact(part.volts, part.amps),
            )
        case Stud():
            return ((f"{part.thread} stud", "value"),)
        case Bond():
            return ((_bond_text(part), "value"),)
        case Speaker():
            return rated(f"{part.ohms:g} Ω", plain(part.watts, "W"))
        case OutputTransformer():
            share = ((f"{show_percent(part.screen_tap)} taps", "value"),) if part.screen_tap is not None else ()
            watts = ((plain(part.watts, " W"), "value"),) if part.watts else ()
            return ((f"{ohms_code(part.primary_ohms)} primary", "value"), *share, *watts)
        case InterstageTransformer():
            return ((f"1 : {part.ratio:g}", "value"), (f"{part.henries:g} H", "value"))
        case PowerTransformer():
            return ((plain(part.watts, " VA"), "value"),) if part.watts else ()
        case Tube():
            return ((part.type.name, "value"),)
        case _:
            return ()


def label_rows(part: Part, *, level: bool = False) -> Rows:
    """All lines beside a part. level: for a part that lies, whose label is above or below it and may be wider."""
    rows = value_rows(part)
    if level and isinstance(part, Resistor | Capacitor | Fuse):
        rows = packed((text for text, _ in rows), LEVEL_LONG)
    return ((part.ref, "ref"), *rows)


def section_rows(section: TubeSection, tube: Tube) -> Rows:
    """The lines beside a tube section."""
    return ((section.ref, "ref"), (tube.type.name, "value"))


def net_text(netlist: Netlist, net: str) -> str:
    """What a builder reads for a net: its label; a B+ node has its name only."""
    if net in netlist.b_plus:
        return net
    found = netlist.nets.get(net)
    return found.label if found and found.label else net


def volts_text(volts: float) -> str:
    """A node voltage as every page shows it."""
    return show_volts(volts).replace("-", "−")


def title(part: Part, unit: str) -> str:
    """The title of a part's group: what the pointer shows."""
    values = ", ".join(text for text, _ in value_rows(part))
    job = _words(part.role)
    return f"{unit} {values}: {job}, {part.stage}" if job else f"{unit} {values}"


def _contact(volts: float | None, amps: float | None) -> Rows:
    both = " ".join(t for t in (plain(volts, "V"), plain(amps, "A")) if t)
    return ((both, "value"),) if both else ()


def _bond_text(part: Bond) -> str:
    kind = "direct" if part.kind == "direct" else "loop breaker"
    return f"{kind}, {part.area_mm2:g} mm²" if part.area_mm2 else kind


def _words(text: str) -> str:
    return text.replace("-", " ")
