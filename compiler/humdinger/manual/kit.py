"""The kit list: what to pick, bag by bag, and where each part goes. Counts are the netlist's, part by part."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from ..circuit.heating import heater_feed
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
)
from ..drawing.marking import bands, tolerance
from ..drawing.swatch import swatch
from ..parts.model import HeaterConnection
from ..records import record
from ..rules.resistor_limits import SMALLEST_WATTS
from ..units import code_farads, code_ohms, show_amps, show_farads, show_percent, show_volts, show_watts
from .describe import code, describe, job, kind, rated_volts, rated_watts, spare_taps
from .model import BOX, Block, Cell, Heading, Items, Link, Page, Picture, Row, Strong, Table, Text, num, t, txt
from .panel import player_pots


@record
class Bag:
    """Parts that are the same to a picker, and what the list says of them behind the count."""

    number: int
    parts: tuple[Part, ...]
    cells: tuple[Cell, ...]


Spoken = tuple[Cell, ...]


@record
class Class:
    """Parts that a shop keeps in one drawer: title, anchor, columns behind the count, what to say of one, and the order."""

    title: str
    anchor: str
    columns: tuple[str, ...]
    of: tuple[type[Part], ...]
    say: Callable[[Netlist, Part], Spoken]
    order: Callable[[Part], tuple[float, ...]] = lambda part: ()
    note: Callable[[Netlist], str] = lambda netlist: ""


def kit_page(netlist: Netlist, more: Sequence[Block] = ()) -> Page:
    """Bags class by class, then part by part; `more` is what the netlist does not count."""
    bags = {c.anchor: [] for c in CLASSES}
    number = 0
    for c in CLASSES:
        for parts, cells in _grouped(netlist, c):
            number += 1
            bags[c.anchor].append(Bag(number, parts, cells))
    blocks: list[Block] = [Heading("How to use it", "use"), Items(_use())]
    for c in CLASSES:
        if bags[c.anchor]:
            blocks += [Heading(c.title, c.anchor), _list(netlist, c, bags[c.anchor])]
    blocks += [Heading("Before you take another part", "substitutes"), Items(tuple(_substitutes(netlist)))]
    blocks += [Heading("Where each part goes", "places"), *_places(netlist, [b for found in bags.values() for b in found])]
    count = len(netlist.parts)
    lead = f"{count} parts in {number} bags, counted by the same list the schematic is drawn from."
    return Page("kit", "Kit list", lead, (*blocks, *more))


def _use() -> tuple[Text, ...]:
    return (
        t(Strong("Pick "), "bag by bag: count, meter one part of each value, write the number on the bag, tick."),
        t(Strong("Fit "), "part by part: the second half of the page says where each goes and which bag it is in."),
        t("Ratings are the least to fit. Higher volts and higher watts do as well where they have room (common practice)."),
    )


def _grouped(netlist: Netlist, c: Class) -> Iterable[tuple[tuple[Part, ...], Spoken]]:
    """Parts of which the list says the same, in the class's order."""
    groups: dict[Spoken, list[Part]] = {}
    for part in sorted((p for p in netlist.parts if isinstance(p, c.of)), key=c.order):
        groups.setdefault(c.say(netlist, part), []).append(part)
    return ((tuple(parts), cells) for cells, parts in groups.items())


def _list(netlist: Netlist, c: Class, bags: list[Bag]) -> Table:
    rows = tuple(
        Row(
            (num(f"{bag.number}"), num(f"{len(bag.parts)} ×"), *bag.cells, txt(*_links(bag.parts)), BOX),
            anchor=f"bag-{bag.number}",
        )
        for bag in bags
    )
    count = sum(len(bag.parts) for bag in bags)
    caption = f"{count} in {len(bags)} {'bag' if len(bags) == 1 else 'bags'}"
    return Table(caption, ("Bag", "Qty", *c.columns, "Parts", "Pick"), rows, c.note(netlist))


def _links(parts: Sequence[Part]) -> Text:
    runs: list[str | Link] = []
    for i, part in enumerate(parts):
        if i:
            runs.append(", ")
        runs.append(Link(part.ref, "", f"part-{part.ref}"))
    return tuple(runs)


# -- what is said of each class ---------------------------------------------------------------------------------------
def _resistor(netlist: Netlist, part: Part) -> Spoken:
    assert isinstance(part, Resistor)
    fine = show_percent(tolerance(part)) + ("" if part.tolerance is not None or not _some_given(netlist) else " *")
    colours = bands(part)
    marking = txt(Picture(swatch(colours)), f" {' '.join(colours)}") if colours else txt("printed")
    return (num(code_ohms(part.ohms)), num(rated_watts(part)), num(rated_volts(part)), num(fine), txt(part.technology), marking)


def _some_given(netlist: Netlist) -> bool:
    return any(part.tolerance is not None for part in netlist.of(Resistor))


def _resistor_note(netlist: Netlist) -> str:
    found = list(netlist.of(Resistor))
    said = []
    if any(not part.watts for part in found):
        said.append(f"* for watts: the spec gives none; judged as {show_watts(SMALLEST_WATTS)}, the least to fit.")
    if any(part.tolerance is None for part in found):
        where = "Where a tolerance has a *" if _some_given(netlist) else "Tolerances:"
        said.append(f"{where} the spec gives none, and the usual part is meant (common practice).")
    said.append("Volts: what the element has to stand across it. R and k and M stand where the point is (IEC 60062): 4k7 is 4.7 kΩ.")
    if any(bands(part) for part in found):
        said.append("Read bands with the one that stands apart on the right. Some bodies are painted the wrong way round: meter every one.")
    return " ".join(said)


def _capacitor(netlist: Netlist, part: Part) -> Spoken:
    assert isinstance(part, Capacitor)
    fine = f", {show_percent(part.tolerance)}" if part.tolerance is not None else ""
    volts = show_volts(part.volts) if part.volts else "–"
    ripple = f", ripple {show_amps(part.ripple_amps)}" if part.ripple_amps else ""
    return (num(show_farads(part.farads)), num(code_farads(part.farads)), num(code(part)), num(volts), txt(kind(part) + fine + ripple))


def _capacitor_note(netlist: Netlist) -> str:
    found = list(netlist.of(Capacitor))
    small = next((p for p in found if code(p) != "printed"), None)
    said = []
    if small is not None:
        said.append(f"Code: two digits and the number of noughts in picofarads, so {code(small)} is {show_farads(small.farads)}.")
    if any(p.polarised for p in found):
        said.append(
            "Electrolytics: the stripe is minus on radial cans, the groove or the red seal is plus on axial ones (common practice)."
        )
    return " ".join(said)


def _pot(netlist: Netlist, part: Part) -> Spoken:
    assert isinstance(part, Pot)
    where = "panel, with knob" if part in player_pots(netlist) else "trimmer, inside"
    if part.gang:
        where = f"rear track of {part.gang}, on the same shaft"
    elif any(other.gang == part.ref for other in netlist.of(Pot)):
        where = "panel, with knob: a pot of two tracks, this is the front one"
    watts = f", {show_watts(part.watts)}" if part.watts else ""
    return (num(code_ohms(part.ohms)), txt(part.taper + watts), txt(where))


def _diode(netlist: Netlist, part: Part) -> Spoken:
    assert isinstance(part, Diode)
    return (
        txt(part.type.name),
        num(show_volts(float(part.type.repetitive_reverse_volts))),
        num(show_amps(float(part.type.average_amps))),
    )


def _tube(netlist: Netlist, part: Part) -> Spoken:
    assert isinstance(part, Tube)
    kept = part.type
    heater = _heater(netlist, part)
    tall = kept.envelope.seated_mm
    return (
        txt(Strong(kept.name)),
        txt(", ".join(kept.aliases) or "–"),
        txt(kept.kind),
        txt(kept.base.name),
        num(f"{show_amps(heater.amps)} at {show_volts(heater.volts)}"),
        num(f"{float(tall):.0f} mm" if tall is not None else "–"),
    )


def _heater(netlist: Netlist, part: Tube) -> HeaterConnection:
    """The way its heater is fed; of an unwired one the way nearest to the winding it is on."""
    wired = heater_feed(part)
    if wired:
        return wired[1]
    fed = next((w.volts for transformer in netlist.of(PowerTransformer) for w in transformer.windings if w.name == part.heater), None)
    return min(part.type.heaters, key=lambda h: abs(h.volts - fed) if fed is not None else 0.0)


def _plain(netlist: Netlist, part: Part) -> Spoken:
    return (txt(describe(part) + spare_taps(netlist, part) + _musts(part)),)


def _musts(part: Part) -> str:
    """What else the label of a transformer or switch has to say."""
    said: list[str] = []
    match part:
        case PowerTransformer():
            if part.watts:
                said.append(f"{part.watts:g} VA")
            if part.screen:
                said.append("earthed screen")
            if part.insulation_volts:
                said.append(f"tested at {show_volts(part.insulation_volts)}")
        case OutputTransformer() | InterstageTransformer():
            if part.gap_amps:
                said.append(f"gapped for {show_amps(part.gap_amps)}")
            if part.insulation_volts:
                said.append(f"tested at {show_volts(part.insulation_volts)}")
        case Choke():
            if part.insulation_volts:
                said.append(f"tested at {show_volts(part.insulation_volts)}")
        case Jack():
            if part.insulated:
                said.append("sleeve insulated from the chassis")
    return "".join(f"; {x}" for x in said)


CLASSES = (
    Class(
        "Resistors",
        "resistors",
        ("Value", "Watts", "Volts", "Tol.", "Kind", "Bands"),
        (Resistor,),
        _resistor,
        lambda p: (p.ohms, p.watts or SMALLEST_WATTS) if isinstance(p, Resistor) else (),
        _resistor_note,
    ),
    Class(
        "Capacitors",
        "capacitors",
        ("Value", "Written", "Code", "Volts", "Kind"),
        (Capacitor,),
        _capacitor,
        lambda p: (p.farads, p.volts or 0.0) if isinstance(p, Capacitor) else (),
        _capacitor_note,
    ),
    Class("Pots", "pots", ("Value", "Taper", "Stands"), (Pot,), _pot, lambda p: (p.ohms,) if isinstance(p, Pot) else ()),
    Class("Diodes", "diodes", ("Type", "Reverse volts", "Amps"), (Diode,), _diode),
    Class("Tubes", "tubes", ("Type", "Also sold as", "What", "Base", "Heater", "Seated height"), (Tube,), _tube),
    Class("Transformers", "transformers", ("What",), (PowerTransformer, OutputTransformer, InterstageTransformer, Choke), _plain),
    Class(
        "Jacks, switches, fuses and the like",
        "hardware",
        ("What",),
        (Inlet, Fuse, Switch, Lamp, Coupler, Jack, Stud, Bond, Speaker),
        _plain,
    ),
)
"""In the order a picker walks. A part of no class would be missing from the list: DOC-005 sees it."""


# -- part by part -------------------------------------------------------------------------------------------------------
def _places(netlist: Netlist, bags: list[Bag]) -> list[Block]:
    bag_of = {part.ref: bag for bag in bags for part in bag.parts}
    groups: tuple[tuple[str, type[Part] | tuple[type[Part], ...]], ...] = (
        ("Resistors by designator", Resistor),
        ("Capacitors by designator", Capacitor),
        ("Everything else by designator", tuple(k for c in CLASSES[2:] for k in c.of)),
    )
    tables: list[Block] = []
    for title, kinds in groups:
        found = [p for p in netlist.parts if isinstance(p, kinds) and p.ref in bag_of]
        if found:
            rows = tuple(_place(p, bag_of[p.ref]) for p in found)
            tables.append(Table(title, ("Part", "What", "Job", "Bag", "Fit"), rows))
    return tables


def _place(part: Part, bag: Bag) -> Row:
    what = describe(part)
    if isinstance(part, Resistor) and (colours := bands(part)):
        what = f"{what}: {' '.join(colours)}"
    if isinstance(part, Capacitor) and part.polarised:
        what = f"{what}, mind plus"
    return Row(
        (txt(part.ref), txt(what), txt(job(part)), Cell((Link(str(bag.number), "", f"bag-{bag.number}"),), "number"), BOX),
        anchor=f"part-{part.ref}",
    )


def _substitutes(netlist: Netlist) -> Iterable[Text]:
    """Rules of thumb for what this amp has; each is common practice, which the last line says."""
    if list(netlist.of(Resistor)):
        yield t(
            "Resistor: same ohms, same or finer tolerance, never fewer watts or volts. Two of half the ohms in series stand twice the volts."
        )
    if any(p.technology in ("flameproof", "fusible") for p in netlist.of(Resistor)):
        yield t("Flameproof and fusible resistors fail safely: replace them by their kind only.")
    if list(netlist.of(Capacitor)):
        yield t("Capacitor: same value, same kind, never fewer volts. No ceramic disc in the place of a film part in the signal path.")
    if any(p.technology.startswith("class-") for p in netlist.of(Capacitor)):
        yield t("A capacitor on the mains side: the same class, with its approval printed on it, and nothing else.")
    if any(r.kind == "tube" for r in netlist.rectifiers):
        yield t(
            "First capacitor behind the tube rectifier: no more than the list says, or the tube arcs. Change it in the spec and compile."
        )
    if list(netlist.of(Fuse)):
        yield t("Fuse: same letter, amps, volts and breaking capacity. A larger one protects nothing.")
    yield t("Tube, transformer, pot taper: another one is another amp. Change the spec and compile: bias, volts and labels follow.")
    yield t("These are common practice; what the rules judged of each part is on ", Link("the judgement page", "judgement"), ".")
