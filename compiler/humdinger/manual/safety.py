"""The safety sheet: this amp's stored energy, how it is made dead, how a reading is taken, and the rules of the region.

Sources are named where a fact stands: a standard read as an excerpt says "as quoted", one from memory says so, the rest is common practice.
No clause is cited. It defers to local code and licensed practice.
"""

from __future__ import annotations

import math

from ..analysis.discharge import waiting_seconds
from ..analysis.results import Results
from ..circuit.netlist import GROUND, Netlist, Switch
from ..spec.design import Design
from ..units import show_amps, show_hertz, show_ohms, show_volts, show_watts
from . import keys, words
from .hazards import hazard_blocks
from .model import BLANK, Block, Caution, Facts, Heading, Items, Link, Page, Paragraph, Row, Strong, Table, Text, num, t, txt

SAFE_VOLTS = 60.0
TARGET_VOLTS = 10.0
REBOUND_MINUTES = 5
TOOL_WATTS = 10.0
LETHAL_JOULES = 1.0
"""From 100 V up (a workplace standard, from memory)."""
SAFETY = Link("the safety sheet", "safety")


def waiting(results: Results, label_seconds: float | None) -> int | None:
    """The one waiting time of the whole amp: as computed, or what the label on the amp says when that is longer. None: waiting is not enough."""
    computed = waiting_seconds(results.discharges)
    if computed is None:
        return None
    return max(computed, math.ceil(label_seconds or 0.0))


def live_block(results: Results, label_seconds: float | None = None, netlist: Netlist | None = None) -> Caution:
    """The block that every page carries on which power is on. netlist: to name the rules of the region."""
    wait = waiting(results, label_seconds)
    pause = f"wait {wait} s" if wait is not None else "wait, and do not trust waiting"
    return Caution(
        "This step needs power: it can kill",
        (
            t("Never hold a probe on a live amp. Use the clip method: clip on dead, stand clear, power, read, off, discharge, move."),
            t("A person alone uses no other method; anything more needs a second person who knows the isolator."),
            t(
                f"Before moving a clip: switch off, pull the plug, {pause}, then meter every capacitor node below {TARGET_VOLTS:.0f} V. See ",
                SAFETY,
                ".",
            ),
            t("Speaker or load resistor connected, output tubes clear of the bench, residual-current device of 30 mA upstream."),
            *((t(netlist.region.deferral),) if netlist else ()),
        ),
    )


def first_block(netlist: Netlist) -> Caution:
    """The block of the first page."""
    return Caution(
        "Read this before the lid comes off",
        (
            t("This amp works with voltages that kill, and its capacitors keep them after the plug is out."),
            t("The manual is no substitute for training, or for a licensed person where the law asks for one."),
            t(netlist.region.deferral),
            t("It claims no conformity with any standard: it says which limits were checked and which could not be. Next: ", SAFETY, "."),
        ),
    )


THRESHOLDS = (
    ("Treated as discharged", "below 60 V direct", "IEC 61010-1 and IEC 60204-1, as quoted; IEC 62368-1, from memory"),
    ("Shop target before a hand goes in", "below 10 V direct", "common practice"),
    ("May be touched, alternating", "30 V rms, 42.4 V peak", "scope of IEC 61010-031, as read"),
    ("Plug pins after unplugging", "safe within 5 s", "IEC 61010-1, as quoted"),
    ("Charge of a part that can be touched", "below 45 µC", "IEC 61010-1, as quoted"),
    ("Stored energy that can kill", "1 J from 100 V up, 0.25 J from 400 V up", "NFPA 70E, from memory"),
    ("Felt, 50 or 60 Hz hand to foot", "about 0.5 mA", "IEC 60479-1, from memory"),
    ("Hand cannot let go", "about 10 mA", "IEC 60479-1, from memory"),
    ("Heart may stop, longer than a second", "over 30 to 50 mA", "IEC 60479-1, from memory"),
)
"""Fact, figure, source. Direct current is not safer at the volts of a tube amp."""


def safety_page(design: Design, netlist: Netlist, results: Results, label_seconds: float | None = None) -> Page:
    """The sheet with this amp's own numbers."""
    blocks: list[Block] = [
        Heading("Who may do it", "who"),
        Items(tuple(_who(netlist))),
        Heading("What is stored in this amp", "stored"),
        Paragraph(
            t(
                "Worst case: every tube out or cold, mains at its highest. ",
                Strong(f"{words.joules(results.stored_joules)} in all."),
                " A shock from that can kill by itself." if results.stored_joules >= LETHAL_JOULES else "",
            )
        ),
        _discharge_table(netlist, results),
        *_tool(results),
        Heading("Making it dead", "dead"),
        Items(_isolation(netlist, results, label_seconds), ordered=True),
        Heading("Method for every reading", "method"),
        Items(_method(), ordered=True),
        Paragraph(
            t(
                "This is the method of every live row of this manual, and the only one for a person alone. Never: the mains side; the "
                "high-tension winding end to end; an output plate with its tube in; a clip moved, a tube pulled, a load opened with power on."
            )
        ),
        Heading("Meter and scope", "meter"),
        Items(_instruments()),
        *hazard_blocks(design, netlist, results),
        Heading("Thresholds and where they come from", "thresholds"),
        Table(
            "What the rules of this sheet rest on",
            ("Fact", "Figure", "Source"),
            tuple(Row((txt(fact), txt(figure), txt(source))) for fact, figure, source in THRESHOLDS),
            "Edition and clause are to be read in the published text; none was at hand. Direct current is no safer at these volts.",
            "threshold-table",
        ),
        Heading("In this region", "region"),
        Facts(tuple(_region(netlist, results))),
    ]
    return Page("safety", "Safety sheet", "This amp's stored energy, how long it stays dangerous, and how to work on it.", tuple(blocks))


def _who(netlist: Netlist) -> tuple[Text, ...]:
    return (
        t(
            "Work dead. Live work only if dead work cannot give the answer, and it is reasonable to do it live, and precautions prevent "
            "injury: all three (published safe-isolation guidance)."
        ),
        t("One who knows high tension, discharge, meter categories and first aid. A learner is supervised. Nobody under 18 (shop rule)."),
        t(
            "No live work with a pacemaker or implanted defibrillator, with epilepsy, on medication that dulls, tired, or in a hurry (common practice)."
        ),
        t(
            "For a step with power on, a second person who knows the isolator, can call for help and can press a chest. Alone: only the method "
            "below, hands off."
        ),
        t(
            "Residual-current device of 30 mA or less on the bench (IEC 60364-4-41, from memory), a switch within reach that is not on the amp."
        ),
        t(
            "At the bench before power: extinguisher for electrical fires, first-aid kit, phone, the ",
            Link("stop page", "stop"),
            " on the wall with its two lines filled in, the isolator marked and shown to the second person, a dry stick or board to push somebody away.",
        ),
        t("Who may test and repair mains equipment for others is law in many places: check your authority."),
        t(netlist.region.deferral),
    )


def _discharge_table(netlist: Netlist, results: Results) -> Table:
    rows = []
    for d in results.discharges:
        if d.kind == "signal":
            continue
        ref = "+".join(d.capacitors)
        bleed = results.bleeds.get(d.net)
        hot = d.net if d.net != GROUND else d.minus
        cells = [
            txt(Strong(netlist.nets[hot].label or hot)),
            txt(", ".join(d.capacitors)),
            num(words.volts(d.start_volts), keys.at("discharges", ref, "start_volts")),
            num(words.joules(d.joules), keys.at("discharges", ref, "joules")),
            num(_time(d.seconds), keys.at("discharges", ref, "seconds")),
            num(_time(d.seconds_alone), keys.at("discharges", ref, "seconds_alone")),
        ]
        if results.bleeds:
            cells.append(num(_time(bleed.seconds), keys.at("bleeds", d.net, "seconds")) if bleed else num("–"))
        rows.append(Row((*cells, txt(", ".join(d.paths) or "none"), BLANK), anchor=f"discharge-{d.net}"))
    tool = ("By hand",) if results.bleeds else ()
    opened = dict.fromkeys(ref for d in results.discharges for ref in d.opened)
    alone = f"With {', '.join(opened)} open" if opened else "With fuses and switches open"
    columns = ("Node", "Capacitors", "Start", "Energy", f"To {SAFE_VOLTS:.0f} V", alone, *tool, "Discharged by", "Measured")
    note = (
        f"Seconds until each node has fallen to {SAFE_VOLTS:.0f} V, computed from the resistors of the netlist, tubes cold. "
        "A dry joint makes them wrong: meter, always."
    )
    return Table("Capacitor nodes", columns, tuple(rows), note, "capacitor-nodes")


def _time(seconds: float | None) -> str:
    return "never by itself" if seconds is None else words.seconds(seconds)


def _tool(results: Results) -> list[Block]:
    """The discharge resistor, for this amp."""
    if not results.bleeds:
        return []
    worst = max(results.bleeds.values(), key=lambda b: b.peak_watts)
    slow = max((b.seconds for b in results.bleeds.values() if b.seconds is not None), default=None)
    pause = f", and {words.seconds(slow)} to {SAFE_VOLTS:.0f} V on the slowest node" if slow is not None else ""
    text = (
        f" {show_ohms(worst.ohms)}, {show_watts(TOOL_WATTS)} or more, wirewound, in an insulated handle with a clip for 1 kV (common practice). In this amp it takes "
        f"{words.watts(worst.peak_watts)} at the first touch{pause}. Forgotten on a node it burns that for as long as the power is on: count the clips out."
    )
    return [Paragraph(t(Strong("Discharge resistor:"), text))]


def _isolation(netlist: Netlist, results: Results, label_seconds: float | None) -> tuple[Text, ...]:
    wait = waiting(results, label_seconds)
    computed = waiting_seconds(results.discharges)
    why = "as the label on the amp says" if wait != computed else "twice the longest time of the table above, rounded up"
    pause = f"Wait {wait} s: {why}." if wait is not None else "Waiting is not enough in this amp: a node does not empty by itself."
    standby = any(switch.where == "standby" for switch in netlist.of(Switch))
    tubes = " Leave the standby switch in PLAY: the tubes empty the capacitors." if standby else ""
    ohms = next((show_ohms(b.ohms) for b in results.bleeds.values()), "10 kΩ")
    return (
        t(f"Volume to zero.{tubes} Power switch off."),
        t("Switch at the wall off, plug out, and the plug on the bench in front of you: nobody else can put it back."),
        t(Strong(pause)),
        t("Prove the meter on a known source. Meter ", Strong("every"), " node of the table. Prove the meter again."),
        t(
            f"Above {TARGET_VOLTS:.0f} V: discharge through {ohms} on its insulated clip, minus side first. Never a screwdriver. Meter again."
        ),
        t(
            f"Leave the clip-on resistor in place. After {REBOUND_MINUTES} minutes meter again: old electrolytics recover 5 to 15 % (common practice)."
        ),
        t("Before power comes back: count the clips out, lid of the mains side on, load connected."),
    )


def _method() -> tuple[Text, ...]:
    return (
        t("Amp dead. Black clip first, on circuit ground; then the red one on the node. Leads run clear of tubes and of each other."),
        t(
            "Stand clear, both hands off, eye protection on, nothing metal on hands or neck, dry floor. Amp upside down, stable, tubes free of the bench."
        ),
        t("Power on. Read. Write."),
        t("Power off, plug out, wait, meter, discharge. Only now move the clip."),
    )


def _instruments() -> tuple[Text, ...]:
    return (
        t(
            "Meter, leads, clips: CAT III 1000 V preferred, CAT II 600 V at least; finger guards; bare tip 4 mm at most, 2 mm better; "
            "fused leads (published probe guidance)."
        ),
        t("With a hand near the amp at all, a second person present: one hand, the other behind your back."),
        t(
            "Output tube plates: no meter, no tenfold probe. If it must be seen: a hundredfold probe for 2 kV peak. The tests of this manual never need it."
        ),
        t(
            "Oscilloscope: its chassis is protective earth, its ground clip goes on circuit ground only. Never lift the earth of a scope or of the amp."
        ),
        t(
            "An isolating transformer takes the residual-current device away as a guard, and the amp's earth stays wired all the same (common practice)."
        ),
    )


def _region(netlist: Netlist, results: Results):
    region = netlist.region
    low, high = float(region.low_volts), float(region.high_volts)
    yield "Region", t(region.name)
    yield "Emergency call", t(Strong(region.emergency_number))
    yield (
        "Mains",
        t(f"{show_volts(float(region.nominal_volts))}, {show_hertz(netlist.mains_hertz)}; range {show_volts(low)} to {show_volts(high)}"),
    )
    yield "Plug", t(region.plug, *_plug_fuse(netlist, results))
    yield "Flex colours", t(f"line {region.line_colour}, neutral {region.neutral_colour}, earth {' or '.join(region.earth_colours)}")
    yield "Wiring rules", t(region.wiring_rules)
    if region.work_rules:
        yield "Rules for live work and tests", t(region.work_rules, " (names from memory: ask for the edition in force)")
    if region.test_bond_ohms is not None and region.test_insulation_ohms is not None:
        bond, insulation = show_ohms(float(region.test_bond_ohms)), show_ohms(float(region.test_insulation_ohms))
        yield "A repaired appliance", t(f"protective earth at most {bond} without the lead, insulation at least {insulation} at 500 V")
    for number, note in enumerate(region.notes, 1):
        yield f"Note {number}" if len(region.notes) > 1 else "Note", t(note)


def _plug_fuse(netlist: Netlist, results: Results) -> tuple[str, ...]:
    """The fuse in the plug, where plugs have one."""
    region = netlist.region
    if region.plug_fuse_amps is None or region.plug_fuse_watts is None or region.plug_fuse_high_amps is None:
        return ()
    small = results.mains.volt_amps <= float(region.plug_fuse_watts)
    amps = float(region.plug_fuse_amps if small else region.plug_fuse_high_amps)
    return (f"; for this amp {show_amps(amps)} in the plug",)
