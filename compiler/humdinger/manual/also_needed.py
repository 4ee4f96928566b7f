"""What a builder needs besides the parts of the netlist: it has no terminal, but the amp is not finished without it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..circuit.netlist import Fuse, Inlet, Jack, Lamp, Netlist, Stud, Switch, Tube
from ..layout import Layout
from ..layout.routing import BOARD_MM, TURRET_MM
from ..spec.design import Design
from ..units import Quantity, show_amps, show_seconds, show_volts
from .model import BOX, Link, Row, Table, Text, t, txt
from .panel import jacks, player_pots
from .terminals import terminal_text

CONNECTORS = {"iec-c14": "IEC C13"}
"""Inlet -> what mates with it (IEC 60320, from memory)."""
HOLDERS = {"shock-safe": "shock-safe fuse holder (opens only with a tool)"}


def also_needed(design: Design, netlist: Netlist, layout: Layout) -> Table:
    """Holders, sockets, cord, labels, sleeving: each with what it is for and how many."""
    rows = tuple(Row((txt(str(count)), txt(what), (txt(*why)), BOX, BOX)) for count, what, why in _items(design, netlist, layout))
    note = "Not counted among the parts: nothing of this has a terminal in the netlist."
    return Table("Also needed", ("Count", "What", "For", "Pick", "Fit"), rows, note, "also")


def _items(design: Design, netlist: Netlist, layout: Layout) -> Iterator[tuple[int, str, Text]]:
    for fuse in netlist.of(Fuse):
        if fuse.where != "thermal":
            holder = HOLDERS.get(fuse.holder, f"fuse holder, {fuse.holder}" if fuse.holder else "fuse holder")
            yield 1, holder, t(f"{fuse.ref}, {show_amps(fuse.amps)}")
            yield 3, f"spare fuse as {fuse.ref}", t("one in the amp's bag, two at the bench")
    for inlet in netlist.of(Inlet):
        yield from _cord(netlist, inlet)
    mains = [part.ref for part in netlist.parts if isinstance(part, Inlet) or (isinstance(part, Switch | Fuse) and part.where == "mains")]
    if mains:
        yield 1, "insulating cover over the mains parts, opened with a tool only", t(", ".join(mains))
    yield from _earth(netlist, layout)
    sockets: dict[str, list[str]] = {}
    for tube in netlist.of(Tube):
        sockets.setdefault(tube.type.base.name, []).append(tube.ref)
    for base, refs in sockets.items():
        yield len(refs), f"{base} tube socket", t(", ".join(refs))
    if sockets:
        count = 2 * sum(map(len, sockets.values()))
        yield count, "M3 screw 10 mm with nut and star washer", t("two per tube socket (common practice; measure the sockets in hand)")
    yield from _panel(netlist)
    yield from _boards(layout)
    if layout.boards:
        count = 4 * len(layout.boards)
        yield count, "M3 standoff, 10 mm or more, with screws", t("four per board: ", ", ".join(board.name for board in layout.boards))
    yield from _labels(design)
    if layout.isolated:
        leads = ", ".join(terminal_text(i.ref, i.lead, netlist) for i in layout.isolated)
        yield (
            len(layout.isolated),
            "heat-shrink end cap",
            t(f"unused leads, each by itself: {leads}; see ", Link("wiring", "wiring", "isolated")),
        )
    if layout.colouring.sleeves:
        for colour in sorted({s.sleeve for s in layout.colouring.sleeves}):
            leads = ", ".join(terminal_text(s.lead.ref, s.lead.pin, netlist) for s in layout.colouring.sleeves if s.sleeve == colour)
            yield 1, f"sleeving, {colour}", t(f"{leads}; see ", Link("wiring", "wiring", "sleeves"))


def _earth(netlist: Netlist, layout: Layout) -> Iterator[tuple[int, str, Text]]:
    """What the wires on the stud end in, and the second nut for those above the mains lead."""
    for stud in netlist.of(Stud):
        wires = [wire.number for wire in layout.wires if stud.ref in (wire.start.ref, wire.end.ref)]
        if wires:
            yield len(wires), f"crimped ring terminal {stud.thread}", t(f"wires {', '.join(map(str, wires))} on {stud.ref}")
        if len(wires) > 1:
            yield 1, f"nut {stud.thread} with star washer", t(f"second nut on {stud.ref}, above the mains earth")


def _boards(layout: Layout) -> Iterator[tuple[int, str, Text]]:
    """Sheets, turrets and the wire of the links."""
    if not layout.boards:
        return
    link = Link("boards", "boards")
    for board in layout.boards:
        yield (
            1,
            f"glass-fibre sheet, {BOARD_MM:g} mm, {math.ceil(board.width_mm)} × {math.ceil(board.height_mm)} mm",
            t(f"board {board.name}; see ", link),
        )
    turrets = {board.name: len(board.turrets) for board in layout.boards}
    each = ", ".join(f"{name} {count}" for name, count in turrets.items())
    yield (
        sum(turrets.values()),
        f"turret, flange up to {TURRET_MM:g} mm, for a {BOARD_MM:g} mm board",
        t(f"{each}; with the tool that swages them"),
    )
    lugs: dict[int, list[str]] = {}
    for strip in layout.strips:
        lugs.setdefault(len(strip.lugs), []).append(f"{strip.name} beside {strip.host}" if strip.host else strip.name)
    for count, names in sorted(lugs.items()):
        yield (
            len(names),
            f"tag strip, {count} insulated lug{'s' if count > 1 else ''} besides the foot",
            t(f"{', '.join(names)}; see ", link),
        )
    links = [link_.net for board in layout.boards for link_ in board.links]
    if links:
        # a link is insulated as the wires of its net are
        volts = [w.make_up.insulation_volts for w in layout.wires if w.make_up and w.net in set(links)]
        rated = f", {show_volts(max(volts))}" if volts else ""
        yield len(links), f"insulated link wire{rated}", t("under the boards; see ", link)


def _panel(netlist: Netlist) -> Iterator[tuple[int, str, Text]]:
    """What the panels need besides the parts on them, and what plugs into them."""
    pots = player_pots(netlist)
    if pots:
        yield len(pots), "knob to fit the shaft, with pointer", t(", ".join(pot.control for pot in pots))
    lamps = [lamp.ref for lamp in netlist.of(Lamp)]
    if lamps:
        yield len(lamps), "lamp holder with lens", t(", ".join(lamps))
    insulated = [jack.ref for jack in netlist.of(Jack) if jack.insulated]
    if insulated:
        yield len(insulated), "insulating bush or insulated jack body", t(", ".join(insulated), ": sleeves off the chassis")
    pedals = [s.ref for s in netlist.of(Switch) if s.where == "footswitch"]
    if pedals:
        yield len(pedals), "pedal box with cable and plug", t(", ".join(pedals), " goes into it")
    speakers = [jack.ref for jack in jacks(netlist, "speaker") if jack.role != "extension-jack"]
    if speakers:
        yield len(speakers), "speaker cable with plug, two cores, unscreened", t(", ".join(speakers), " to the speaker")


def _cord(netlist: Netlist, inlet: Inlet) -> Iterator[tuple[int, str, Text]]:
    region = netlist.region
    cores = {2: "two-core", 3: "three-core"}.get(inlet.cord_cores, f"{inlet.cord_cores}-core")
    if inlet.kind == "captive-cord":
        yield 1, f"{cores} mains flex with plug: {region.plug}", t(f"{inlet.ref}, fixed to the amp")
        yield 1, "strain relief: gland or clamp", t("the flex; a knot does not count")
    else:
        yield (
            1,
            f"{cores} mains cord with plug: {region.plug}",
            t(f"{inlet.ref}, {CONNECTORS.get(inlet.kind, inlet.kind)} connector at the amp's end"),
        )
    if region.plug_fuse_amps is not None:
        yield 1, f"plug fuse, {show_amps(float(region.plug_fuse_amps))}", t("in the plug")


def _labels(design: Design) -> Iterator[tuple[int, str, Text]]:
    label = design.spec.block("safety").block("warning_label")
    wait = label.get("wait")
    time = f", wait {show_seconds(wait.value)}" if isinstance(wait, Quantity) else ""
    for where in ("inside", "outside"):
        if label.get(where):
            yield 1, f"warning label: high tension{time}", t(f"{where} of the cover")
