"""Speakers: one or several, their jack, an extension jack, and the resistor that loads the transformer when nothing is plugged in.

What it does: turns the amp's power into sound. It hangs between the chosen tap and circuit ground, where the secondary's foot is.

When to use it: always, once. Several speakers of one kind stand in one cabinet; they share the power. An extension jack takes a second
cabinet: `parallel` adds it to the speakers inside, `switching` plays it in their place.

Topology: wiring parallel puts every speaker across the line, series one behind the other, series-parallel two rows of two in series. A
switching extension jack stands ahead of all else: its contact leads on to the speakers inside and opens when a plug goes in.

Formulas: n alike in series n*Z, in parallel Z/n, rows of two as one Z; with an extension in parallel Z*Ze/(Z + Ze) (ohm's law, impedances
taken as resistances). The load of the plates is that times (turns ratio of the tap)^2; the load resistor takes V^2/R.

Limits: a jack can be empty: then only its shorting contact or the load resistor keeps the primary from swinging to thousands of volts. A
switching jack with an idle cable in it leaves the transformer without a load, whatever the jack behind it does: it needs the resistor.
The resistor is 25 to 50 times the impedance (common practice). Speakers in series stop together when one voice coil breaks.

Defaults: count 1; shorting false: a contact that shorts the empty jack counts only when the spec says it is there.
"""

from __future__ import annotations

from ...spec.model import Block
from ..amounts import amount
from ..builder import Fill, Scope
from ..netlist import GROUND, Jack, Pin, Speaker

KIND = "speaker"
SECTION = "output"

NOT_SHORTING = Fill("false", False, "a shorting contact counts only when the spec says it is there")
ONE = Fill("1", 1, "one speaker")


def elaborate(scope: Scope) -> None:
    """Ports: in, out, hot (all the tap's net), inside (the net of the speakers when an extension jack switches them).

    Roles: jack, extension-jack, speaker or speaker-1 ..., load-resistor. Facts: connection, count, wiring, extension, extension_ohms.
    """
    scope.title = "Speaker"
    block = scope.block
    hot = scope.builder.net("speaker.hot", "speaker", "speaker hot")
    for name in ("in", "out", "hot"):
        scope.port(name, hot)
    connection = str(block.get("connection", ""))
    scope.facts["connection"] = connection
    scope.resistor("load_resistor", hot, GROUND)
    inside = _extension(scope, block.block("extension"), hot) if "extension" in block else hot
    if connection == "jack":
        shorting = bool(scope.value("shorting", NOT_SHORTING)[0])
        pins = [Pin("tip", inside), Pin("sleeve", GROUND)]
        if shorting:
            pins.append(Pin("tip-switch", GROUND))
        scope.keep(
            Jack,
            "jack",
            role="jack",
            path=f"{block.path}/connection",
            span=block.span_of("connection"),
            label="SPEAKER",
            pins=tuple(pins),
            purpose="speaker",
            switched=shorting,
        )
    _speakers(scope, inside)


def _extension(scope: Scope, block: Block, hot: str) -> str:
    """The extension jack. Returns the net of the speakers inside."""
    switching = block.get("arrangement") == "switching"
    inside = scope.builder.net("speaker.inside", "speaker", "speakers inside") if switching else hot
    if switching:
        scope.port("inside", inside)
    scope.facts["extension"] = str(block.get("arrangement", ""))
    scope.facts["extension_ohms"] = amount(block, "impedance")
    scope.keep(
        Jack,
        "jack",
        role="extension-jack",
        path=block.path,
        span=block.span,
        label="EXTENSION",
        pins=(Pin("tip", hot), Pin("sleeve", GROUND), *((Pin("tip-switch", inside),) if switching else ())),
        purpose="speaker",
        switched=switching,
    )
    return inside


def _speakers(scope: Scope, hot: str) -> None:
    """All speakers, row by row; a row is what stands in series across the line."""
    block = scope.block
    value = scope.value("count", ONE)[0]
    count = value if isinstance(value, int) else 1
    wiring = str(block.get("wiring", ""))
    scope.facts["count"], scope.facts["wiring"] = count, wiring
    deep = {"series": count, "series-parallel": 2}.get(wiring, 1)
    if wiring == "series-parallel" and count != 4:
        scope.builder.problem(
            "ELB-084",
            "series-parallel-of-four",
            f"series-parallel is two rows of two speakers, but there {'is' if count == 1 else 'are'} {count}",
            block.span_of("wiring"),
            helps=("count: 4, or wiring: series or parallel",),
        )
        return
    if count > 1 and not wiring:
        scope.builder.problem(
            "ELB-085",
            "speakers-without-wiring",
            f"{count} speakers can be wired in series or in parallel, and the spec does not say which",
            block.span_of("count"),
            helps=("add wiring: parallel, wiring: series, or for four wiring: series-parallel",),
            notes=("of two speakers of 8 ohm one makes 4 ohm, the other 16 ohm",),
        )
        return
    for number in range(1, count + 1):
        row, place = divmod(number - 1, deep)
        ends = [hot if at == 0 else GROUND if at == deep else _between(scope, row, at) for at in (place, place + 1)]
        scope.keep(
            Speaker,
            "speaker",
            role="speaker" if count == 1 else f"speaker-{number}",
            path=block.path if count == 1 else f"{block.path}/count/{number}",
            span=block.span_of("impedance"),
            label="speaker",
            pins=(Pin("+", ends[0]), Pin("-", ends[1])),
            ohms=amount(block, "impedance") or 8.0,
            resistance=amount(block, "resistance"),
            watts=amount(block, "power"),
            sensitivity_db=amount(block, "sensitivity"),
            fixed=scope.facts["connection"] != "jack",
        )


def _between(scope: Scope, row: int, place: int) -> str:
    return scope.builder.net(f"speaker.row-{row + 1}-{place}", "speaker", f"between speakers, row {row + 1}")
