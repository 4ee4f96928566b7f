"""The operating and handover sheet: for the player, in the player's words, about the controls this amp has and no other."""

from __future__ import annotations

from collections.abc import Iterator

from ..analysis.results import Results
from ..circuit.netlist import LEVELS, Lamp, Netlist, Switch, Tube
from ..spec.design import Design
from ..units import show_hertz, show_ohms
from . import words
from .describe import fuse_rating
from .model import BLANK, BOX, Block, Caution, Facts, Heading, Items, Link, Page, Row, Strong, Table, Text, t, txt
from .panel import bench_pots, jack_ohms, jacks, player_pots, speaker_ohms, switches
from .rating import mains_rating, replaceable

WARM_UP_SECONDS = 30
SETTLED_MINUTES = 15
"""Heaters glow and the amp plays; readings settle (both common practice)."""
COOL_MINUTES = 10
AROUND_MM = 100
"""Free space behind and above a tube amp (common practice)."""
MAKER = (("Maker", "maker"), ("Address", "address"), ("Contact", "contact"))
TURNS = {
    "bass": "more to the right: more low end",
    "treble": "more to the right: more top",
    "middle": "more to the right: more middle, and a little more of all",
    "speed": "rate of the tremolo",
    "intensity": "depth of the tremolo; fully left it is off",
}
KINDS = {
    "volume": "loudness, and how hard the amp is driven",
    "master-volume": "loudness of the whole amp; what the stages before it are driven to stays",
    "bass-cut": "takes low end away",
    "treble-cut": "more to the right: more top",
    "line-out": "loudness at the line out only",
    "presence": "more to the right: the top of the band comes forward",
}
"""What a control of such a stage does."""


def operating_page(design: Design, netlist: Netlist, results: Results) -> Page:
    """Controls, switching on and off, what never to do, tube change, handover."""
    blocks: list[Block] = [
        Caution("Never play it without its speaker", tuple(_warnings(netlist)), level="warning"),
        Heading("Controls and sockets", "controls"),
        _controls(netlist, results),
        Heading("On and off", "on"),
        Items(tuple(_on_and_off(netlist)), ordered=True),
        Heading("Where it stands", "place"),
        Items(tuple(_place(netlist))),
        Heading("Tubes and fuses", "tubes"),
        _tubes(netlist),
        Items(tuple(_changing(netlist))),
        Heading("When something is wrong", "wrong"),
        Items(tuple(_wrong(netlist))),
        Heading("Who to ask", "contact"),
        *_contact(design),
        Heading("Handover", "handover"),
        _handover(netlist),
    ]
    return Page("operating", "Operating sheet", "For the player. It goes with the amp.", tuple(blocks))


def _warnings(netlist: Netlist) -> Iterator[Text]:
    ohms = speaker_ohms(netlist)
    if ohms is not None:
        yield t(
            f"The load is {show_ohms(ohms)}, not less. Without one the output transformer can break down, and the output tubes with it."
        )
    yield t(f"Only on an earthed outlet of {mains_rating(netlist)}. Never lift the earth to stop a hum.")
    yield t("Do not open it. The voltages inside kill, also after the plug is out.")


def _controls(netlist: Netlist, results: Results) -> Table:
    rows = tuple(
        Row((txt(Strong(name)), txt(what), txt(*does)), anchor=f"control-{ref}") for name, what, does, ref in _each(netlist, results)
    )
    return Table("What there is on the amp", ("Name", "Is", "Does"), rows, anchor="panel")


def _each(netlist: Netlist, results: Results) -> Iterator[tuple[str, str, Text, str]]:
    found = jacks(netlist, "input")
    for i, jack in enumerate(found):
        name = f"{jack.label or 'INPUT'} {i + 1}" if len(found) > 1 else jack.label or "INPUT"
        yield name, "jack", t("guitar, with a screened cable"), jack.ref
    for pot in player_pots(netlist):
        yield pot.control, "knob", t(_turn(netlist, pot.role, pot.stage, results)), pot.ref
    for level in results.loops:
        out, back = netlist.by_ref[level.send_jack], netlist.by_ref[level.return_jack]
        volts = f", up to {words.volts(level.send_volts_rms)} rms" if level.send_volts_rms else ""
        yield out.label, "jack", t(f"to the input of an effect{volts}; with nothing in {back.label} it only taps the signal"), out.ref
        yield back.label, "jack", t("from the output of the effect; empty, the signal goes on inside the amp"), back.ref
    pedal = any(s.where == "footswitch" for s in netlist.of(Switch))
    for jack in jacks(netlist, "footswitch"):
        said = "footswitch: closed stops the tremolo, open or unplugged lets it run" if pedal else "footswitch"
        yield jack.label or "FOOTSWITCH", "jack", t(said), jack.ref
    for lamp in netlist.of(Lamp):
        said = "lit: the heaters have current. Dark does not mean dead: the capacitors keep their charge"
        yield lamp.label or "LAMP", "lamp", t(said), lamp.ref
    for switch in switches(netlist):
        does = "takes the high tension off while the tubes stay warm" if switch.where == "standby" else "mains on and off"
        yield switch.label or "SWITCH", "switch", t(does), switch.ref
    for jack in jacks(netlist, "line-out"):
        line = results.line_out
        volts = f", about {words.volts(line.volts_rms)} rms at full power" if line and line.volts_rms else ""
        pot = next((p for p in player_pots(netlist) if p.stage == jack.stage), None)
        at = f" with {pot.control} at {10 * results.nominal.condition.controls.get(pot.control, pot.position):g}" if pot and volts else ""
        yield jack.label, "jack", t(f"to a mixing desk or a recorder{volts}{at}; the speaker stays plugged in"), jack.ref
    for jack in jacks(netlist, "speaker"):
        ohms = jack_ohms(netlist, jack)
        if jack.role == "extension-jack":
            plays = "the speakers inside are off while a plug is in it, so never leave a loose cable in it"
            said = plays if jack.switched else "it plays together with the speakers inside"
            yield jack.label, "jack", t(f"extension cabinet of {show_ohms(ohms or 0.0)}, not less; {said}"), jack.ref
            continue
        load = f"speaker of {show_ohms(ohms)}; " if ohms is not None else ""
        yield (
            jack.label or "SPEAKER",
            "jack",
            t(f"{load}plug in before you switch on, with a speaker cable and not a guitar cable"),
            jack.ref,
        )


def _turn(netlist: Netlist, role: str, stage: str, results: Results) -> str:
    kind = netlist.stage(stage).kind
    if role == "speed" and results.tremolo is not None:
        slow, fast = (show_hertz(words.computed(x), 2) for x in (results.tremolo.slow_hertz, results.tremolo.fast_hertz))
        return f"{TURNS['speed']}, computed {slow} to {fast}"
    if role in TURNS:
        return TURNS[role]
    if kind == "effects-loop":
        return (
            "what goes out to the effect" if role == "send-pot" else "what comes back from the effect, and without one how loud the loop is"
        )
    return KINDS.get(kind, kind.replace("-", " "))


def _on_and_off(netlist: Netlist) -> Iterator[Text]:
    standby = next((s for s in switches(netlist) if s.where == "standby"), None)
    mains = next((s for s in switches(netlist) if s.where == "mains"), None)
    name = mains.label if mains and mains.label else "the mains switch"
    sockets = "Speaker plugged in, " if jacks(netlist, "speaker") else ""
    volume = [pot.control for pot in player_pots(netlist) if netlist.stage(pot.stage).kind in LEVELS]
    low = f"{', '.join(volume)} at 0" if volume else "guitar turned down"
    yield t(f"{sockets}{low}, then plug in the guitar." if not sockets else f"{sockets}{low}. Then plug in the guitar.")
    if standby is not None:
        said = standby.label or "STANDBY"
        yield t(f"{said} to standby, {name} on. Wait {WARM_UP_SECONDS} s, then {said} to play (common practice).")
    else:
        yield t(f"{name} on. Sound comes within about {WARM_UP_SECONDS} s (common practice).")
    yield t(f"Tone and loudness settle within {SETTLED_MINUTES} minutes (common practice).")
    if standby is not None:
        yield t(
            f"For a pause: {standby.label or 'STANDBY'} to standby. For the day: leave it in play and switch {name} off; that empties the capacitors. Next time: to standby first, then as above."
        )
    else:
        yield t(f"To stop: volume down, {name} off. Let it cool before you move it." if volume else f"To stop: {name} off. Let it cool.")


def _place(netlist: Netlist) -> Iterator[Text]:
    yield t(f"Leave {AROUND_MM} mm free behind it and above it. Never cover it: tubes run hot (common practice).")
    yield t("Dry indoor places only. No glass, cup or vase on it.")
    yield t("After a cold journey let it warm up to the room before you switch on: water condenses inside (common practice).")


def _tubes(netlist: Netlist) -> Table:
    power = {ref: netlist.by_section[ref].tube for ref in netlist.power_sections}
    rows = tuple(
        Row((txt(tube.ref), txt(Strong(tube.type.name)), txt(_after(netlist, tube, tube.ref in power.values()))), anchor=f"tube-{tube.ref}")
        for tube in netlist.of(Tube)
    )
    return Table("Tubes, and what a new one asks for", ("Place", "Type", "After a change"), rows, anchor="tube-change")


def _after(netlist: Netlist, tube: Tube, power: bool) -> str:
    count = len({netlist.by_section[ref].tube for ref in netlist.power_sections})
    pair = count > 1
    if not power:
        return "nothing to set"
    if netlist.bias_scheme == "fixed":
        return f"{'change as a matched set; ' if pair else ''}the bias must be set again: to the maker"
    matched = "pair" if count == 2 else f"set of {count}"
    return f"{f'change as a matched {matched}; ' if pair else ''}sets itself, nothing to adjust"


def _changing(netlist: Netlist) -> Iterator[Text]:
    yield t(
        f"Plug out, {COOL_MINUTES} minutes to cool (common practice). Same type only; the map is on the amp. Pull straight, do not tilt."
    )
    trimmers = [pot.control for pot in bench_pots(netlist)]
    if trimmers:
        yield t(f"{', '.join(trimmers)} inside: set at the bench, not by the player.")
    for fuse in replaceable(netlist):
        if fuse.where == "mains":
            yield t(f"Mains fuse {fuse.ref}: ", Strong(fuse_rating(fuse)), ". Plug out first; the same again, never a larger one.")
    yield t("A new fuse that blows again means a fault: leave it off.")


def _wrong(netlist: Netlist) -> Iterator[Text]:
    yield t(
        "Smoke, a burnt smell, arcing, a tube glowing red all over, a loud hum: switch off, plug out. See the ",
        Link("stop page", "stop"),
        ".",
    )
    yield t(
        f"No sound: guitar and cable{', then speaker plug' if any(jacks(netlist, 'speaker')) else ''}, then the mains fuse, where it can be "
        "reached from outside. No further: the lid stays on."
    )
    yield t("Crackle or ringing when a small tube is tapped: that tube is worn.")


def _contact(design: Design) -> Iterator[Block]:
    """What the shop file says of the maker; a table to write it into where it says nothing."""
    said = [(title, str(design.shop.get(key) or "").strip()) for title, key in MAKER]
    if any(text for _, text in said):
        yield Facts(tuple((title, t(text)) for title, text in said if text))
    else:
        yield Table("The maker", ("What", "Filled in"), tuple(Row((txt(title), BLANK)) for title, _ in said), anchor="maker-blanks")


def _handover(netlist: Netlist) -> Table:
    serial = ("Serial number", "Date", "Handed over by", "Taken over by", "Warranty, as the maker grants it")
    rows = [Row((txt(what), BLANK)) for what in serial]
    done = ("played together, every control tried", "this sheet and the safety sheet read")
    spares = [f"spare {fuse.ref} in the bag" for fuse in replaceable(netlist) if fuse.where == "mains"]
    if any(s.where == "footswitch" for s in netlist.of(Switch)):
        spares.append("footswitch with its cable")
    rows += [Row((txt(what), BOX)) for what in (*done, *spares)]
    return Table("To fill in together", ("What", "Filled in"), tuple(rows), anchor="handover-blanks")
