"""Before power: the dead tests of this amp, each with its leads, its ohms and what to stop at."""

from __future__ import annotations

from collections.abc import Iterator

from ..analysis.dead_network import OUTPUT_WINDING_SPREAD, POT_SPREAD, POWER_WINDING_SPREAD, RESISTOR_SPREAD
from ..analysis.dead_test import BOND_OHMS, INSULATION_OHMS
from ..analysis.results import DeadTest, DeadTests, Results
from ..circuit.netlist import GROUND, Bond, Capacitor, Diode, Inlet, InterstageTransformer, Netlist, PowerTransformer, Switch
from ..layout import Layout
from ..units import show_ohms, show_percent
from . import keys, words
from .model import BLANK, BOX, Block, Caution, Cell, Heading, Items, Link, Page, Paragraph, Row, Table, num, t, txt
from .terminals import Where, terminal_text

GROUPS = (
    ("Protective earth", ("earth",)),
    ("Mains side", ("line", "switch", "primary", "insulation")),
    ("Transformer windings", ("winding", "secondary")),
    ("Heaters", ("heater",)),
    ("B+ and bias nodes", ("supply", "standby")),
    ("Cathodes and control grids", ("cathode", "grid")),
    ("Plates and screens", ("plate", "screen", "screen-plate", "screen-other")),
    ("Jacks", ("jack",)),
    ("Feedback is open", ("feedback",)),
)
"""Title, groups of dead tests: the order of work is the order of the rows."""

FINE_OHMS = 1.0
"""Below this a handheld meter, which shows tenths and has leads of 0.2 to 0.4 Ω, says no more than that the way is not open (common practice)."""
LOW_OHMS = 10.0
"""Below this the tenth of an ohm that a handheld meter resolves is over 1 % (arithmetic), more than a test resistor may miss by."""
COLUMNS = ("No.", "Measure", "Red on", "Black on", "Expect", "Low", "High", "Stop if", "Measured", "Pass")
NOTES = {
    "Protective earth": "Zero the meter's leads first. A tester of 200 mA or more finds what an ohmmeter forgives (published appliance-testing guidance).",
    "Mains side": (
        "The plug lies on the bench; the leads go to its pins or to the inlet. Insulation: a tester of 500 V direct, nothing else does. "
        "A new amp shows tens of megohms (common practice)."
    ),
    "Transformer windings": "Copper is read cold, leads subtracted. Below 1 Ω a handheld meter only tells that a winding is not open. The halves of one winding differ by 15 % at most (common practice).",
    "Heaters": (
        "The heater winding is one wire for a meter: both ends show the same. The row without its reference comes first, at best while the "
        "heater pairs are in and the parts of the reference are not. The rows after it prove that they are on: floating heaters never go to power."
    ),
    "B+ and bias nodes": (
        "The meter charges the capacitors first: the reading climbs and then stands. Read it when it stands; electrolytics that leak hold it a "
        "little lower. The lead the table calls red is the plus lead: the other way round the diodes conduct."
    ),
    "Cathodes and control grids": "An open grid lets its tube run away: the most important rows of this page.",
    "Plates and screens": "Output transformer: the two halves differ by 20 % at most (common practice).",
    "Jacks": "",
    "Feedback is open": (
        "Its polarity is not known yet, and the wrong one makes the amp howl at full power: the loop stays open until first power tries it. "
        "Red on the speaker's tap, black on that end of the feedback resistor that will be joined to it."
    ),
}


def before_power_page(netlist: Netlist, results: Results, layout: Layout | None = None) -> Page | None:
    """The dead tests; None without them."""
    tests = results.dead_tests
    if tests is None or not tests.rows:
        return None
    where = Where(netlist, layout)
    blocks: list[Block] = [
        Caution(
            "An ohmmeter is for a dead amp only",
            (
                t("Cord out of the wall, and the plug where you can see it."),
                t("Has power ever been on? Make it dead first, as ", Link("the safety sheet", "safety", "dead"), " says."),
                t("Meter every capacitor node below 1 V before the first ohms reading: the first table."),
            ),
            "warning",
        ),
        Heading("How the amp stands", "state"),
        Items(tuple(t(f"{text[0].upper()}{text[1:]}.") for text in tests.assumed)),
        Paragraph(
            t(
                f"Low and high: every resistor on the way at the end of its tolerance, {show_percent(RESISTOR_SPREAD)} where the spec gives none, "
                f"pots {show_percent(POT_SPREAD)}, power transformers and chokes {show_percent(POWER_WINDING_SPREAD)}, output transformers "
                f"{show_percent(OUTPUT_WINDING_SPREAD)} (common practice). The meter's own error and its leads come on top. Outside: find out why "
                "before you go on. Where the pins are: ",
                Link("socket views", "sockets"),
                ".",
            )
        ),
        Heading("Nothing is charged", "charged"),
        _charged(netlist, tests, where),
        Heading("By eye", "eye"),
        _polarity(netlist),
        Items(
            (
                t("Every solder joint: pull at the wire. One that moves is made again."),
                t("No clipping of wire, no blob of solder, no whisker of braid between tags or under the board."),
                t("Each fuse is the one its holder names, and a spare lies by."),
            )
        ),
        Heading("By ohmmeter", "ohms"),
    ]
    for number, (title, groups) in enumerate(GROUPS, 1):
        rows = tuple(_rows(netlist, tests, groups, number, where))
        if rows:
            anchor = "dead-" + groups[0]
            blocks += [
                Heading(title, anchor, 3),
                Table(_count(len(rows)), COLUMNS, rows, NOTES[title] + _low_ohms(tests, groups), f"table-{anchor}"),
            ]
    blocks.append(Paragraph(t("All boxes ticked? Then, and only then: ", Link("first power", "first-power"), ".")))
    return Page("before-power", "Before power", "Dead tests: what an ohmmeter shows before power goes on.", tuple(blocks))


def _count(readings: int) -> str:
    return "1 reading" if readings == 1 else f"{readings} readings"


def _low_ohms(tests: DeadTests, groups: tuple[str, ...]) -> str:
    """What a handheld meter cannot read on a soldered test resistor, where there is one."""
    low = [r for r in tests.rows.values() if r.group == "cathode" and r.group in groups and r.ohms is not None and 0.0 < r.ohms < LOW_OHMS]
    if not low:
        return ""
    return (
        f" A cathode resistor below {show_ohms(LOW_OHMS)} is measured before it is soldered, volts over it at a known current, and its value "
        "noted: the idle current is computed from it, and here the meter only tells that it is there."
    )


def _charged(netlist: Netlist, tests: DeadTests, where: Where) -> Table:
    rows = []
    for name, row in tests.rows.items():
        if row.group != "supply":
            continue
        rows.append(
            Row(
                (txt(_node(netlist, row.about)), *_leads(netlist, row, where), txt("below 1 V"), BLANK, BOX),
                anchor=f"charged-{name.partition('/')[2]}",
            )
        )
    note = "Meter on direct volts. A new amp shows nothing; one that has run may hold its charge for days."
    return Table(
        "Capacitor nodes, before any ohms reading", ("Node", "Red on", "Black on", "Must be", "Measured", "Pass"), tuple(rows), note
    )


def _polarity(netlist: Netlist) -> Table:
    """Each part that has a right way round, and where its marked end belongs."""
    rows = []
    for part in netlist.parts:
        if isinstance(part, Capacitor) and part.polarised:
            marked, at = "plus end", part.net("+")
        elif isinstance(part, Diode):
            marked, at = "band end", part.net("k")
        else:
            continue
        other = next(pin.net for pin in part.pins if pin.net != at) if len({pin.net for pin in part.pins}) > 1 else at
        rows.append(
            Row(
                (
                    txt(Link(part.ref, "kit", f"part-{part.ref}")),
                    txt(f"{marked} on {_node(netlist, at)}"),
                    txt(_node(netlist, other)),
                    BOX,
                ),
                anchor=f"polarity-{part.ref}",
            )
        )
    negative = [
        part.ref
        for part in netlist.of(Capacitor)
        if part.polarised and part.net("+") == GROUND and netlist.nets[part.net("-")].domain == "bias"
    ]
    note = "A reversed electrolytic bursts, a reversed diode shorts its winding."
    if negative:
        note += f" {' and '.join(negative)} filter{'s' if len(negative) == 1 else ''} the negative bias: plus end on ground."
    return Table("Parts that have a right way round", ("Part", "Marked end", "Other end on", "Right"), tuple(rows), note, "polarity")


def _node(netlist: Netlist, net: str) -> str:
    if net == GROUND:
        return "circuit ground"
    found = netlist.nets.get(net)
    return (found.label if found else "") or net


def _rows(netlist: Netlist, tests: DeadTests, groups: tuple[str, ...], number: int, where: Where) -> Iterator[Row]:
    count = 0
    if "earth" in groups and any(row.group == "earth" for row in tests.rows.values()):
        count += 1
        inlet = next(netlist.of(Inlet))
        everything = "every metal part a hand can reach: chassis, patch plates, screws, pot bushes, handle, jack nuts"
        cells = (txt(everything), txt(terminal_text(inlet.ref, "PE", netlist)), txt("each in turn"), num("0 Ω"), num("–"), num("–"))
        yield Row((num(f"A{number}.{count}"), *cells, txt(_over(BOND_OHMS)), BLANK, BOX), anchor="dead-everything")
    for name, row in tests.rows.items():
        if row.group not in groups:
            continue
        count += 1
        stop = _stop(row).replace(" Ω", "\u00a0Ω").replace(" kΩ", "\u00a0kΩ").replace(" MΩ", "\u00a0MΩ")
        cells = (txt(_measure(netlist, row)), *_leads(netlist, row, where), *_values(name, row), txt(stop), BLANK, BOX)
        yield Row((num(f"A{number}.{count}"), *cells), anchor=f"dead-{name.replace('/', '-')}")


def _leads(netlist: Netlist, row: DeadTest, where: Where) -> tuple[Cell, Cell]:
    """Red and black, by the names of the wiring page; circuit ground by its own name."""

    def name(terminal: tuple[str, str]) -> str:
        text = where.at(*terminal).replace(" ", "\u00a0")
        grounded = netlist.by_ref[terminal[0]].net(terminal[1]) == GROUND and row.group not in ("earth", "winding", "secondary")
        if grounded and isinstance(netlist.by_ref[terminal[0]], Bond | Capacitor):
            return f"ground ({text})"
        return text

    return txt(name(row.red)), txt(name(row.black))


def _values(name: str, row: DeadTest) -> tuple[Cell, Cell, Cell]:
    if row.kind == "unknown":
        return txt("not given: write it down"), num("–"), num("–")
    if row.group == "insulation":
        return num(f"over {show_ohms(INSULATION_OHMS)}"), num(show_ohms(INSULATION_OHMS), _key(name, "stop_below_ohms")), num("–")
    if row.ohms is None:
        return num("open"), num("–"), num("–")
    expect = num(words.ohms(row.ohms), _key(name, "ohms"))
    if row.kind == "joined":
        return expect, num("–"), num(show_ohms(row.stop_above_ohms or 0.0), _key(name, "stop_above_ohms"))
    if _too_fine(row):
        return expect, num("–"), num(show_ohms(FINE_OHMS))
    return (
        expect,
        num(words.ohms(row.low_ohms or 0.0), _key(name, "low_ohms")),
        num(words.ohms(row.high_ohms or 0.0), _key(name, "high_ohms")),
    )


def _too_fine(row: DeadTest) -> bool:
    """A winding so low that a handheld meter cannot tell it from 0 Ω: all it can show is that it is not open."""
    return row.kind == "ohms" and row.group in ("primary", "winding", "secondary") and (row.high_ohms or 0.0) < FINE_OHMS


def _key(name: str, field: str) -> str:
    return keys.at("dead_tests", "rows", name, field)


def _measure(netlist: Netlist, row: DeadTest) -> str:
    """What is measured, in words, with what stands differently for it."""
    what = _what(netlist, row)
    setup = [text for text in row.setup if text not in what]
    return f"{what}; {', '.join(setup)}" if setup else what


def _what(netlist: Netlist, row: DeadTest) -> str:
    about = row.about
    match row.group:
        case "earth":
            part = netlist.by_ref[about]
            screen = "the screen of the " if isinstance(part, PowerTransformer) else ""
            return f"PE pin to {'circuit ground' if isinstance(part, Bond) else screen + (part.label or about)}"
        case "line":
            return f"line to {terminal_text(*row.black, netlist)}"
        case "switch":
            return f"{about} {'line' if row.red[1].startswith('1') else 'neutral'} pole"
        case "primary":
            return f"line to neutral: primary of {about}"
        case "insulation":
            return "L and N joined, to PE"
        case "winding":
            return _winding(netlist, row)
        case "secondary":
            if isinstance(netlist.by_ref[row.red[0]], InterstageTransformer):
                return f"{terminal_text(*row.red, netlist)} to {row.black[1]}"
            return f"{terminal_text(*row.red, netlist)} to its return"
        case "heater":
            return f"heater winding {about} to ground"
        case "supply":
            return f"{_node(netlist, about)} to ground"
        case "standby":
            switch = netlist.by_ref[about]
            assert isinstance(switch, Switch)
            end = next(terminal for terminal in (row.red, row.black) if terminal[0] == about)
            return f"{_node(netlist, switch.net(end[1]))} to ground"
        case "plate" | "screen":
            section = netlist.by_section[about]
            far = next(netlist.by_ref[r].net(p) for r, p in (row.red, row.black) if r != section.tube)
            return f"{about} {row.group} to {_node(netlist, far)}"
        case "screen-plate":
            return f"{about} screen to its own plate"
        case "screen-other":
            return f"{about} screen to the plate of the other side"
        case "cathode" | "grid":
            return f"{about} {'control grid' if row.group == 'grid' else row.group} to ground"
        case "feedback":
            return f"speaker tap to the end of {about} that belongs on it"
        case _:
            part = netlist.by_ref[about]
            return f"{part.label.lower() or about} jack, tip to ground"


def _winding(netlist: Netlist, row: DeadTest) -> str:
    """ "HT winding, half a": about is the transformer and the pin of one end."""
    ref, _, pin = row.about.partition(" ")
    transformer = netlist.by_ref[ref]
    assert isinstance(transformer, PowerTransformer)
    winding = next(w for w in transformer.windings if pin in w.pins)
    half = f", half {'a' if pin == winding.pins[0] else 'b'}" if winding.pins[1] else ""
    return f"{'HT' if winding.kind == 'high-tension' else winding.kind} winding{half}"


def _over(ohms: float) -> str:
    return f"over {show_ohms(ohms)} and leads"


def _stop(row: DeadTest) -> str:
    """Beyond this no power goes on."""
    if row.kind == "open":
        return f"below {show_ohms(row.stop_below_ohms)}" if row.stop_below_ohms else "any reading"
    if row.stop_above_ohms:
        return _over(row.stop_above_ohms)
    if row.stop_below_ohms:
        return f"stays below {words.ohms(row.stop_below_ohms)}"
    if row.group == "feedback":
        return "0 Ω: the loop is closed"
    if _too_fine(row):
        return f"open, or over {show_ohms(FINE_OHMS)}"
    if row.group in ("primary", "winding", "secondary"):
        return "open or 0 Ω"
    if row.group in ("grid", "plate", "screen"):
        return "open"
    if row.group == "screen-plate":
        return "open"
    if row.group == "screen-other":
        return "not above the row before: screen leads crossed"
    return "0 Ω or open" if row.group in ("cathode", "heater") else "outside the band"
