"""The end of the kit list: what is needed besides the netlist's parts, what is used up, and the tools this amp asks for."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..analysis.results import OutputLoad, Results
from ..circuit.netlist import EARTH, Netlist, Tube
from ..layout import Layout
from ..parts.wires import wire_table
from ..spec.design import Design
from ..units import show_ohms, show_watts
from .also_needed import also_needed
from .model import BOX, Block, Heading, Link, Row, Table, Text, t, txt
from .panel import speaker_ohms

LEAD_FREE_MARKETS = ("eu", "uk")
"""Where a product put on the market may hold no more than 0.1 % of lead by weight (RoHS, from memory); building for oneself is outside."""
LOAD_SHARE = 2.0
"""Rating of a dummy load over the amp's clean power (common practice)."""
LOAD_STEP = 10.0
"""Watts: what is bought is rounded up to these."""


def load_watts(load: OutputLoad) -> float:
    """Rating of the resistor in the speaker's place, the one figure of every page."""
    return LOAD_STEP * math.ceil(LOAD_SHARE * load.clean_watts / LOAD_STEP)


def also_blocks(design: Design, netlist: Netlist, results: Results, layout: Layout) -> tuple[Block, ...]:
    """Also needed, consumables, tools."""
    used = tuple(Row((txt(what), txt(*why), BOX)) for what, why in _consumables(design, netlist, layout))
    tools = tuple(Row((txt(what), txt(*why), BOX)) for what, why in _tools(netlist, results))
    return (
        Heading("Also needed", "also-needed"),
        also_needed(design, netlist, layout),
        Heading("Consumables", "consumables"),
        Table("Used up on the way", ("What", "For", "There"), used, "Amounts are common practice where they are given.", "used-up"),
        Heading("Tools", "tools"),
        Table("On the bench before you start", ("What", "For", "There"), tools, "", "tools-needed"),
    )


def _consumables(design: Design, netlist: Netlist, layout: Layout) -> Iterator[tuple[str, Text]]:
    counts: dict[str, int] = {}
    for wire in layout.wires:
        if not wire.outside and wire.colour and not (wire.braid and not wire.screened):
            counts[wire.colour] = counts.get(wire.colour, 0) + 1
    for colour, count in counts.items():
        yield f"wire, {colour}", t(f"{count} {'row' if count == 1 else 'rows'} of ", Link("the wire table", "wiring"))
    screened = [wire for wire in layout.wires if wire.screened and not wire.outside]
    if screened:
        count = len(screened)
        yield (
            "screened single wire",
            t(
                f"{'the row' if count == 1 else f'{count} of these rows'} with a screen, where longer than {wire_table().screen_over_mm:g} mm; see ",
                Link("wiring", "wiring"),
            ),
        )
    if rings := sum(wire.ring for wire in layout.wires):
        yield "heat-shrink, black, 3 mm, for rings", t(f"{2 * rings} rings of 5 mm: both ends of the rows that say “ringed”")
    yield _solder(design)
    yield "heat-shrink, 3 and 6 mm", t("every joint on a mains part, and the bodies of resistors in the air")
    if any(wire.pair for wire in layout.wires):
        yield "cable ties or lacing cord", t("heater pair and mains leads; ties at every 50 mm")
    else:
        yield "cable ties or lacing cord", t("mains leads and bundles; ties at every 50 mm")
    if any(part.net(pin) == EARTH for part, pin in netlist.on_net.get(EARTH, ())):
        yield "abrasive cloth, contact grease", t("bare metal under the earth stud and under every bonded plate")
    yield "isopropyl alcohol, brush, lint-free cloth", t("flux on the boards, swarf and old grease in the donor")
    yield "clear matt film, glue", t("the ", Link("labels", "labels"), ": they live beside warm metal")


def _solder(design: Design) -> tuple[str, Text]:
    model = design.spec.block("model")
    if model.get("sold_as") in ("kit", "finished") and model.get("market") in LEAD_FREE_MARKETS:
        return "solder, lead-free, rosin core", t(
            "all joints: what is sold here may hold no more than 0.1 % of lead by weight (RoHS, from memory)"
        )
    return "solder, rosin core", t("all joints; with leaded solder wash your hands before you eat")


def _tools(netlist: Netlist, results: Results) -> Iterator[tuple[str, Text]]:
    yield "soldering iron 60 W or more, chisel tip, fume extractor", t("all joints; the earth and the bus need the heat (common practice)")
    yield "cutters, long-nosed pliers, stripper, nut drivers", t("wiring and hardware")
    yield "eye protection", t("cutting leads, drilling, first power")
    yield from _holes(netlist)
    yield (
        "multimeter of 10 MΩ input, CAT II 600 V or better, with two insulated clip leads",
        t("every reading of the ", Link("voltage chart", "chart"), " (published probe guidance)"),
    )
    yield "discharge lead: 10 kΩ 10 W between insulated clips", t("see ", Link("making it dead", "safety", "dead"))
    yield "insulation tester, 500 V direct", t("mains to earth, before first power (appliance testing guidance)")
    yield "earth continuity tester, 200 mA or more", t("earth pin to chassis (appliance testing guidance)")
    yield "residual-current device, 30 mA", t("upstream of everything with power on (published bench guidance)")
    first = results.first_power
    if first is not None and first.limiter_watts is not None:
        yield (
            f"limiter lamp, filament, {show_watts(first.limiter_watts)}",
            t("in series with the first power: chosen from the volt-amps at idle"),
        )
    ohms = speaker_ohms(netlist)
    if ohms is not None and results.load is not None:
        yield (
            f"dummy load {show_ohms(ohms)}, {show_watts(load_watts(results.load))} or more, non-inductive",
            t("instead of the speaker; twice the computed clean power (common practice)"),
        )
    yield "oscilloscope of 20 MHz or more, sine source", t("oscillation on peaks, clipping (common practice)")


def _holes(netlist: Netlist) -> Iterator[tuple[str, Text]]:
    """Punches for the sockets, by the library's hole sizes."""
    bases = {tube.type.base.name: tube.type.base for tube in netlist.of(Tube)}
    for base in bases.values():
        largest = f" to {float(base.hole_largest_mm):g}" if base.hole_largest_mm is not None else ""
        yield f"hole punch {float(base.hole_mm):g}{largest} mm", t(f"{base.name} sockets; measure the sockets in hand first")
