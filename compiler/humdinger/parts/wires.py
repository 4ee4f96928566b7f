"""Hook-up wire of the house: sizes, insulation, and the least that a run needs; from parts/data/wire.yaml."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from ..records import record
from .library import load

LENGTHS = ("heater_drop_percent", "heater_first_mm", "heater_hop_mm", "screen_over_mm")


@record
class WireSize:
    """A size by its two names; amps: what it carries inside a chassis."""

    gauge: int
    area_mm2: float
    amps: float


@record
class Run:
    """The least a wire needs by what it carries. volts: insulation, rms."""

    size: WireSize
    volts: float


@record
class WireTable:
    """Everything the house says about wire. sizes from thin to thick, insulation_volts from low to high; runs: by what a wire carries.

    heater_*: how the drop of a heater pair is figured; twist_turns in 100 mm, least and most; lug_wires: most wires on one lug.
    """

    sizes: tuple[WireSize, ...]
    insulation_volts: tuple[float, ...]
    margin: float
    runs: Mapping[str, Run]
    heater_drop_percent: float
    heater_first_mm: float
    heater_hop_mm: float
    screen_over_mm: float
    twist_turns: tuple[int, int]
    lug_wires: int
    source: str

    def size_for(self, least: WireSize, amps: float, area_mm2: float = 0.0) -> WireSize:
        """The thinnest size of at least `least` that carries the current and has the area; the thickest when none does."""
        fits = (s for s in self.sizes if s.area_mm2 >= max(least.area_mm2, area_mm2) and s.amps >= amps)
        return next(fits, self.sizes[-1])

    def insulation_for(self, least: float, needed: float) -> float:
        """The lowest insulation of at least both, 0 when none is high enough."""
        return next((v for v in self.insulation_volts if v >= max(least, needed)), 0.0)


@cache
def wire_table() -> WireTable:
    """The table of the house."""
    data = load("wire")
    sizes = tuple(WireSize(s["gauge"], s["area_mm2"], s["amps"]) for s in data["steps"])
    by_gauge = {s.gauge: s for s in sizes}
    return WireTable(
        sizes=sizes,
        insulation_volts=tuple(data["insulation_volts"]),
        runs={name: Run(by_gauge[run["gauge"]], run["volts"]) for name, run in data["runs"].items()},
        twist_turns=(data["twist_turns"][0], data["twist_turns"][1]),
        **{key: data[key] for key in ("margin", "lug_wires", "source", *LENGTHS)},
    )
