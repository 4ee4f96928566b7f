"""What the wiring page says about wires as a whole: colours, heater plan, ground plan, cut list, why a size was taken."""

from __future__ import annotations

from collections import Counter

from ..circuit.heating import series_pairs
from ..circuit.netlist import Netlist
from ..drawing.wire_swatch import wire_swatch
from ..layout import Layout, MakeUp, Wire
from ..layout.colours import letters
from ..parts.wires import wire_table
from . import words
from .model import BOX, Link, Picture, Row, Run, Table, Text, num, t, txt
from .terminals import terminal_text

AMERICAN = ("us", "ca")
"""Regions where wire is bought by its gauge; elsewhere it is bought by its square millimetres."""

CARRIES = {
    "mains": "mains",
    "earth": "protective earth",
    "bond": "bond of circuit ground to the stud",
    "heater": "heaters",
    "heater-reference": "heater reference",
    "charging": "charging loop, minus side",
    "ground": "circuit ground",
    "high-tension-ac": "high-tension and bias windings",
    "supply": "B+ and screens",
    "plate": "plates",
    "cathode": "cathodes",
    "bias": "bias",
    "speaker": "speaker",
    "feedback": "feedback",
    "grid": "control grids",
    "signal": "other signal",
}
"""What a wire carries, as a builder says it."""


RINGED = ", ringed"
"""After the colour of a wire that wears a ring of sleeving at both ends."""


def colour_text(wire: Wire) -> str:
    """Letters, name, and whether it is the one of its pair that wears a ring."""
    return f"{letters(wire.colour)} {wire.colour}{RINGED if wire.ring else ''}"


def size_text(region: str, made: MakeUp) -> str:
    """The size under the name it is bought by."""
    return f"{made.gauge}\u00a0AWG" if region in AMERICAN else f"{made.area_mm2:g}\u00a0mm²"


def both_sizes(region: str, gauge: int, area_mm2: float) -> str:
    """The size by both names, the region's own first."""
    first, second = f"{gauge}\u00a0AWG", f"{area_mm2:g}\u00a0mm²"
    return f"{first} ({second})" if region in AMERICAN else f"{second} ({first})"


def insulation_text(made: MakeUp) -> str:
    """Rated volts; what would be needed where the house has no such wire."""
    if made.insulation_volts:
        return f"{made.insulation_volts:g}\u00a0V"
    return f"over {made.needed_volts or 0.0:.0f}\u00a0V: sleeve it"


# -- colours --------------------------------------------------------------------------------------------------------
def colours_table(netlist: Netlist, layout: Layout) -> Table:
    """Every colour of the wires there are: its letters, its name, what it carries, how many."""
    rows = []
    uses: dict[str, list[str]] = {}
    inside = [wire for wire in layout.wires if not wire.outside]
    counts = Counter(wire.colour for wire in inside)
    for wire in inside:
        use = CARRIES[wire.make_up.carries] if wire.make_up else wire.group
        if use not in uses.setdefault(wire.colour, []):
            uses[wire.colour].append(use)
    for colour, found in uses.items():
        picture = wire_swatch(colour)
        runs: tuple[Run, ...] = (Picture(picture), f" {colour}") if picture else (colour,)
        rows.append(
            Row((txt(letters(colour)), txt(*runs), txt(", ".join(found)), num(str(counts[colour]))), anchor=f"colour-{letters(colour)}")
        )
    note = "A name of two words is body, then stripe. The rows give the letters before the name."
    if rings := sum(wire.ring for wire in layout.wires):
        note += (
            f" “Ringed”: a ring of black heat-shrink at both ends, put on before the joint, on {rings} wires. It tells the second end of a winding "
            "and the second plate lead from the first, once they are twisted (common practice)."
        )
    return Table("Wire colours of this amp", ("Code", "Colour", "Carries", "Wires"), tuple(rows), note, "colour-table")


# -- plans ----------------------------------------------------------------------------------------------------------
def heater_plan(netlist: Netlist, layout: Layout) -> tuple[Text, ...]:
    """How the heater pairs run, what they lose, how many wires there are."""
    table = wire_table()
    least, most = table.twist_turns
    made: list[Text] = [
        t(
            f"Twist both wires of a pair, {least} to {most} turns in 100 mm, and lay the pair in the corner of the chassis or in the air "
            "above the sockets. Come to each socket at a right angle. The chassis is never the return (common practice)."
        )
    ]
    for run in layout.heater_runs:
        way = ", then ".join(ref for ref, _ in run.sockets)
        last, lost = run.sockets[-1]
        region = netlist.region.code
        lengths = f"{table.heater_first_mm:g} mm to the first socket, {table.heater_hop_mm:g} mm from socket to socket"
        assumed = lengths if len(run.sockets) > 1 else f"{table.heater_first_mm:g} mm to the socket"
        made.append(
            t(
                f"{run.winding}: a pair of {both_sizes(region, run.gauge, run.area_mm2)} to {way}. It carries {words.amps(run.amps)} at the "
                f"transformer. At {last} the heater has about {words.volts(lost)} less than the winding, reckoned with {assumed}, "
                f"both assumed; the limit is {words.volts(run.limit_volts)}."
                if len(run.sockets) > 1
                else f"{run.winding}: a pair of {both_sizes(region, run.gauge, run.area_mm2)} to {way} alone, {words.amps(run.amps)}. "
                f"It loses about {words.volts(lost)}, reckoned with {assumed}, assumed; the limit is {words.volts(run.limit_volts)}."
            )
        )
    joints = {pair.joint for pair in series_pairs(netlist)}
    found = Counter(_heater_job(w.pair, w.start.ref == w.end.ref, w.net in joints) for w in layout.wires if w.group == "heater" or w.pair)
    made.append(t("Count: " + ", ".join(f"{found[job]} {job}" for job in HEATER_JOBS if found[job]) + "."))
    return tuple(made)


HEATER_JOBS = ("in pairs", "from pin to pin of one socket", "between two heaters in series", "to the reference")


def _heater_job(pair: str, same: bool, joint: bool) -> str:
    return HEATER_JOBS[0] if pair else HEATER_JOBS[1] if same else HEATER_JOBS[2 if joint else 3]


def ground_plan(netlist: Netlist, layout: Layout) -> tuple[Text, ...]:
    """The grounding scheme of the spec in words, with the numbers of the wires that make it."""
    plan = next(iter(netlist.stages_of("grounding")), None)
    star = plan is not None and plan.facts.get("scheme") == "star"
    stars = _stars(netlist)
    made: list[Text] = []
    if stars:
        names = ", ".join(f"{node} at {ref} minus" for node, ref in stars)
        how = "each star straight to the reservoir's minus" if star else "the stars strung on one bus from the reservoir towards the input"
        made.append(
            t(
                f"{'One star' if star else 'Bus with local stars'}: what a stage returns goes to the minus of the capacitor that feeds it, "
                f"{how} (common practice). The stars: {names}."
            )
        )
    charging = [w.number for w in layout.wires if w.make_up and w.make_up.carries == "charging"]
    if charging:
        made.append(
            (*numbered(charging), f" {'is' if len(charging) == 1 else 'are'} the charging loop's own: nothing else lands on that wire.")
        )
    for wire in (w for w in layout.wires if w.bond):
        start = terminal_text(wire.start.ref, wire.start.pin, netlist)
        made.append(
            (
                "Circuit ground meets the chassis once, at the earth stud: ",
                *numbered([wire.number]),
                f", the last of all, runs there from {start} in one piece.",
            )
        )
    count = sum(1 for w in layout.wires if w.group == "ground" and not w.outside)
    made.append(t(f"Count: {count} ground wires in the chassis."))
    return tuple(made)


def _stars(netlist: Netlist) -> list[tuple[str, str]]:
    """B+ node and the filter capacitor its star is at."""
    stages = netlist.stages_of("filter")
    return [(node, stage.parts[f"{node}-capacitor"]) for node in netlist.b_plus for stage in stages if f"{node}-capacitor" in stage.parts]


def numbered(numbers: list[int]) -> tuple[Run, ...]:
    """ "Wire 3" or "Wires 3, 5", each a link to its row."""
    runs: list[Run] = ["Wire " if len(numbers) == 1 else "Wires "]
    for k, number in enumerate(numbers):
        runs += [", "] if k else []
        runs.append(Link(str(number), "", f"wire-{number}"))
    return tuple(runs)


# -- cut list and sizes ---------------------------------------------------------------------------------------------
def cut_list(netlist: Netlist, layout: Layout) -> Table:
    """Wires of one colour, size and insulation together; lengths are not known before the parts have their places."""
    counts: Counter[tuple[str, int, float, str]] = Counter()
    numbers: dict[tuple[str, int, float, str], list[int]] = {}
    for wire in layout.wires:
        if wire.make_up is None or wire.outside or (wire.braid and not wire.screened):
            continue
        kind = f"{colour_text(wire)}{', screened' if wire.screened else ''}"
        key = (kind, wire.make_up.gauge, wire.make_up.area_mm2, insulation_text(wire.make_up))
        counts[key] += 1
        numbers.setdefault(key, []).append(wire.number)
    rows = tuple(
        Row(
            (
                num(str(counts[key])),
                txt(key[0]),
                txt(both_sizes(netlist.region.code, key[1], key[2])),
                txt(key[3]),
                txt(_ranges(numbers[key])),
                BOX,
            )
        )
        for key in numbers
    )
    note = "Pieces; a cable that is bought and a screen that is the return are none. Screened: where longer than the limit above. No lengths: they hang on where the parts really stand. Cut to the part, not to the list."
    return Table("Wire to cut", ("Pieces", "Colour", "Size", "Insulation", "Wires", "Cut"), rows, note, "cuts")


def _ranges(numbers: list[int]) -> str:
    """ "1 to 4, 7, 9 and 10" without and: runs of three and more are drawn together."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs)


def sizes_table(netlist: Netlist, layout: Layout) -> Table:
    """What each kind of wire carries and stands at most, the least the house takes for it, and what was taken."""
    table = wire_table()
    kinds: dict[str, list[MakeUp]] = {}
    for wire in layout.wires:
        if wire.make_up and not wire.outside:
            kinds.setdefault(wire.make_up.carries, []).append(wire.make_up)
    region = netlist.region.code
    rows = []
    for kind, found in kinds.items():
        amps = [m.amps for m in found if m.amps is not None]
        volts = [m.volts for m in found if m.volts is not None]
        needed = [m.needed_volts for m in found if m.needed_volts is not None]
        taken = sorted({(m.area_mm2, m.gauge) for m in found})
        run = table.runs[kind]
        rows.append(
            Row(
                (
                    txt(CARRIES[kind]),
                    num(words.amps(max(amps)) if amps else "–"),
                    num(words.chart_volts(max(volts)) if volts else "–"),
                    num(words.chart_volts(max(needed)) if needed else "–"),
                    txt(both_sizes(region, run.size.gauge, run.size.area_mm2), f", {run.volts:g}\u00a0V"),
                    txt("; ".join(both_sizes(region, gauge, area) for area, gauge in taken)),
                    txt(", ".join(sorted({insulation_text(m) for m in found}, key=lambda text: (len(text), text)))),
                ),
                anchor=f"size-{kind}",
            )
        )
    note = (
        "Amps: rms at most, over idle, corners of the mains and full drive; mains: the fuse. Volts: the highest to ground, tubes cold and mains "
        f"at their highest; an output plate twice its B+. Needs: rated volts, {table.margin:g} times what is direct, and that over √2 where it "
        "is the peak of something that alternates."
    )
    return Table(
        "By what they carry",
        ("Carries", "Amps", "Volts", "Needs", "Least of the house", "Taken", "Insulation"),
        tuple(rows),
        note,
        "size-table",
    )


# -- feedback -------------------------------------------------------------------------------------------------------
def held_back(netlist: Netlist, layout: Layout) -> tuple[Wire, ...]:
    """The wires that close the feedback and do nothing else: they stay off until the polarity has been tried.

    None where the wire also feeds a part that has to be there, such as a load resistor on the same board.
    """
    feedback = {ref for stage in netlist.stages_of("feedback") for ref in stage.parts.values()}
    on_boards = {mount.ref for board in layout.boards for mount in board.mounts}
    found = []
    for wire in layout.wires:
        if wire.make_up is None or wire.make_up.carries != "feedback" or wire.outside:
            continue
        fed = {part.ref for part, _ in netlist.on_net.get(wire.net, ())} & on_boards
        if fed <= feedback:
            found.append(wire)
    return tuple(found)


def feedback_note(netlist: Netlist, layout: Layout) -> Text | None:
    """What keeps the loop open until first power tries it; None without feedback."""
    if not any(netlist.stages_of("feedback")):
        return None
    wires = held_back(netlist, layout)
    runs: tuple[Run, ...] = numbered([wire.number for wire in wires]) if wires else ("The feedback resistor's lead at the speaker's side",)
    return t(
        *runs,
        f" {'stay' if len(wires) > 1 else 'stays'} off until ",
        Link("first power", "first-power", "feedback"),
        " tries the polarity: the loop is open, and with it wrong the amp howls at full power.",
    )
