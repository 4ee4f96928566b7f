"""How heaters are fed, read off the netlist: the two nets of each, and which two stand in series."""

from __future__ import annotations

from collections.abc import Mapping

from ..parts.model import HeaterConnection
from ..records import record
from .netlist import Netlist, Tube


@record
class SeriesPair:
    """Two heaters in series across a winding: the first on its end a, the second on its end b, `joint` the net between them."""

    winding: str
    refs: tuple[str, str]
    joint: str


def series_pairs(netlist: Netlist) -> tuple[SeriesPair, ...]:
    """Every pair of heaters in series, winding by winding."""
    found = []
    for stage in netlist.stages_of("heaters"):
        rows = stage.facts.get("series")
        found += [SeriesPair(winding, (first, second), joint) for winding, first, second, joint in rows] if isinstance(rows, tuple) else []
    return tuple(found)


def heater_feed(tube: Tube) -> tuple[tuple[str, str], HeaterConnection] | None:
    """The two nets of a heater and the connection they make: whose two sides are each on one net, and on different nets."""
    pins = {pin.name: pin.net for pin in tube.pins}
    return next(((nets, found) for found in tube.type.heaters if (nets := _sides(pins, found))), None)


def _sides(pins: Mapping[str, str], connection: HeaterConnection) -> tuple[str, str] | None:
    a = {pins.get(str(n), "") for n in connection.side_a_pins}
    b = {pins.get(str(n), "") for n in connection.side_b_pins}
    if len(a) != 1 or len(b) != 1 or a == b or "" in a | b:
        return None
    return a.pop(), b.pop()
