"""The safety sheet and the stop page: facts about this amp's stored energy, and the rules of working on it.

Facts and their sources: thresholds 60 V DC (IEC 61010-1 and IEC 60204-1, as quoted by a public summary), lock-tag-prove-discharge
(published safe-isolation guidance), the rest common practice, which the page says. It defers to local code and licensed practice.
"""

from __future__ import annotations

import math

from ..analysis.discharge import waiting_seconds
from ..analysis.results import Results
from ..circuit.netlist import Netlist, Switch
from ..units import show_volts
from . import keys, words
from .model import BLANK, BOX, Block, Caution, Facts, Heading, Items, Link, Page, Paragraph, Row, Strong, Table, Text, num, t, txt

SAFE_VOLTS = 60.0
TARGET_VOLTS = 10.0
REBOUND_MINUTES = 5
SAFETY = Link("the safety sheet", "safety")


def waiting(results: Results, label_seconds: float | None) -> int | None:
    """The one waiting time of the whole amp: as computed, or what the label on the amp says when that is longer. None: waiting is not enough."""
    computed = waiting_seconds(results.discharges)
    if computed is None:
        return None
    return max(computed, math.ceil(label_seconds or 0.0))


def live_block(results: Results, label_seconds: float | None = None) -> Caution:
    """The block that every page carries on which power is on."""
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
        ),
    )


def first_block(netlist: Netlist) -> Caution:
    """The block of the first page."""
    return Caution(
        "Read this before the lid comes off",
        (
            t("This amp works with voltages that kill, and its capacitors keep them after the plug is out."),
            t(
                f"The manual is no substitute for training, for {netlist.region.wiring_rules}, or for a licensed person where the law asks for one."
            ),
            t("It claims no conformity with any standard: it says which limits were checked and which could not be. Next: ", SAFETY, "."),
        ),
    )


def safety_page(netlist: Netlist, results: Results, label_seconds: float | None = None) -> Page:
    """The sheet with this amp's own numbers."""
    blocks: list[Block] = [
        Heading("Who may do it", "who"),
        Items(
            (
                t("Work dead. Live work only where dead work cannot give the answer, and then by the method of this page."),
                t("Not under 18, not with a heart pacemaker or an implanted defibrillator, not tired, not in a hurry (common practice)."),
                t("For a step with power on, a second person who knows where the isolator is, can call for help and can give first aid."),
                t(netlist.region.deferral),
            )
        ),
        Heading("What is stored in this amp", "stored"),
        Paragraph(
            t(
                "Worst case: every tube out or cold, mains at its highest. ",
                Strong(f"{words.joules(results.stored_joules)} in all."),
                " From about 1 J at 100 V and more a shock can kill by itself (threshold of a workplace standard, from memory).",
            )
        ),
        _discharge_table(results),
        Heading("Making it dead", "dead"),
        Items(_isolation(netlist, results, label_seconds), ordered=True),
        Heading("Method for every reading", "method"),
        Items(
            (
                t("Clips on while dead: the black one first, on circuit ground."),
                t("Stand clear, hands off, eye protection on. Power on. Read."),
                t("Switch off, plug out, wait, meter, then move the clip."),
                t(
                    "Meter, leads and probes rated CAT II 600 V or better, finger guards, no bare tip longer than 4 mm (published probe guidance)."
                ),
                t("No meter and no tenfold probe on an output tube's plate with signal: it swings to about twice B+."),
                t(
                    "Oscilloscope on protective earth, its ground clip on circuit ground only. Never lift the earth of a scope or of the amp."
                ),
            )
        ),
        Heading("Other hazards", "other"),
        Items(
            (
                t("Burns: output tubes and rectifiers run at 150 to 250 °C (handbook, from memory). Wait ten minutes or use a cloth."),
                t("Solder fume: extract at the source. Lead: wash hands, no food at the bench."),
                t("Drilling: clamp the work, wear glasses, deburr every edge a wire passes."),
                t("Hearing: first sound at volume zero; ten watts into a guitar speaker is far over 100 dB at a metre."),
            )
        ),
        Heading("In this region", "region"),
        _region(netlist),
    ]
    return Page("safety", "Safety sheet", "This amp's stored energy, how long it stays dangerous, and how to work on it.", tuple(blocks))


def _discharge_table(results: Results) -> Table:
    rows = []
    for d in results.discharges:
        if d.kind == "signal":
            continue
        row = "+".join(d.capacitors)
        rows.append(
            Row(
                (
                    txt(Strong(d.net)),
                    txt(", ".join(d.capacitors)),
                    num(words.volts(d.start_volts), keys.at("discharges", row, "start_volts")),
                    num(words.joules(d.joules), keys.at("discharges", row, "joules")),
                    num(_time(d.seconds), keys.at("discharges", row, "seconds")),
                    num(_time(d.seconds_alone), keys.at("discharges", row, "seconds_alone")),
                    txt(", ".join(d.paths) or "none"),
                    BLANK,
                ),
                anchor=f"discharge-{d.net}",
            )
        )
    columns = (
        "Node",
        "Capacitors",
        "Start",
        "Energy",
        f"To {SAFE_VOLTS:.0f} V",
        "With fuses and switches open",
        "Discharged by",
        "Measured",
    )
    note = "Times are computed from the resistors of the netlist, tubes cold. A dry joint makes them wrong: meter, always."
    return Table("Capacitor nodes", columns, tuple(rows), note, "capacitor-nodes")


def _time(seconds: float | None) -> str:
    return "never by itself" if seconds is None else words.seconds(seconds)


def _isolation(netlist: Netlist, results: Results, label_seconds: float | None) -> tuple[Text, ...]:
    wait = waiting(results, label_seconds)
    computed = waiting_seconds(results.discharges)
    why = "as the label on the amp says" if wait != computed else "twice the longest time of the table above, rounded up"
    pause = f"Wait {wait} s: {why}." if wait is not None else "Waiting is not enough in this amp."
    standby = any(switch.where == "standby" for switch in netlist.of(Switch))
    tubes = " Leave the standby switch in the playing position, so that the tubes empty the capacitors." if standby else ""
    return (
        t(f"Volume to zero.{tubes} Power off."),
        t("Plug out, and lay it where you can see it."),
        t(pause),
        t("Prove the meter on a known source, meter every node of the table, prove the meter again."),
        t(f"Above {TARGET_VOLTS:.0f} V: discharge through 10 kΩ, 10 W or more, on an insulated clip. Never a screwdriver. Meter again."),
        t(
            f"Leave the clip-on resistor in place. After {REBOUND_MINUTES} minutes meter again: electrolytics recover some charge (common practice)."
        ),
        t("Count the clips out before power comes back."),
    )


def _region(netlist: Netlist) -> Facts:
    region = netlist.region
    return Facts(
        (
            ("Region", t(region.name)),
            ("Emergency call", t(Strong(region.emergency_number))),
            ("Wiring rules", t(region.wiring_rules)),
            (
                "Mains",
                t(
                    f"{show_volts(float(region.nominal_volts))}, {show_volts(float(region.low_volts))} to {show_volts(float(region.high_volts))}"
                ),
            ),
            ("Flex colours", t(f"line {region.line_colour}, neutral {region.neutral_colour}, earth {' or '.join(region.earth_colours)}")),
            ("Plug", t(region.plug)),
        )
    )


def stop_page(netlist: Netlist) -> Page:
    """What to do when it went wrong."""
    call = netlist.region.emergency_number
    blocks: tuple[Block, ...] = (
        Heading("Shock", "shock"),
        Items(
            (
                t(
                    "Do not touch the person. Switch off at the wall or pull the plug; if neither can be reached, push away with something dry."
                ),
                t("Call ", Strong(call), ". Start first aid; no breathing: chest compressions until help takes over."),
                t("After any shock that crossed the chest, or any faint: hospital, even if the person feels well."),
            ),
            ordered=True,
        ),
        Heading("Fire or smoke", "fire"),
        Items(
            (
                t("Plug out first. Then carbon dioxide or dry powder, never water on anything that may be live."),
                t("More than a smouldering part: out, door shut, call ", Strong(call), "."),
                t("Do not breathe the smoke of old parts: selenium, capacitor oil and lagging are toxic."),
            ),
            ordered=True,
        ),
        Heading("A tube glows red, a part arcs or hums loudly", "glow"),
        Items(
            (
                t("Switch off. Do not pull anything out with power on."),
                t("Make it dead as the safety sheet says, then look for the cause with the charts."),
            ),
            ordered=True,
        ),
        Table(
            "Kept at the bench",
            ("What", "There"),
            tuple(
                Row((txt(what), BOX))
                for what in ("extinguisher for electrical fires", "first-aid kit", "phone within reach", "isolator marked")
            ),
        ),
    )
    return Page("stop", "Stop page", "Something went wrong: what to do now.", blocks)
