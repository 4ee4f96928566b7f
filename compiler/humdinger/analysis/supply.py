"""Rectifiers with their windings as averaged one-ports: EMF, source resistance and device law in one condition.

EMF of a leg: the winding's no-load rms volts times mains over the primary's rated volts. Without no-load volts it is the rated volts
plus rated rms amps times (half resistance + n² primary resistance). A rating in direct amps is turned into rms amps by the usual form
factors (capacitor input: 1.15 for a half of a centre-tapped winding, 1.6 for a bridge, 2.2 half-wave; choke input: 0.71, 1.0, 1.0;
common practice).
Loaded: the primary drop of the heater currents, which are in phase with it, comes off: emf * (Vp - I Rp)/Vp, Vp the condition's mains,
I the heaters' rated amps (of the tubes that are in) referred to the primary.
Source resistance of a leg: half resistance (mean of the halves) + n² primary resistance + series resistors of the leg, n the no-load
turns ratio. Rectifiers on one transformer are taken one by one: the charging pulses of one do not pull down the crest of another.

A doubler is two half-wave rectifiers on one winding, half a cycle apart, each with a reservoir of its own; the second is named after the
first with `LOWER`. In a hybrid bridge the silicon diode's forward volts, at SILICON_AMPS a constant, are taken off the EMF before the
tube's law sees it.
"""

from __future__ import annotations

import math
from functools import partial

import numpy as np

from ..circuit.heating import SeriesPair, heater_feed, series_pairs
from ..circuit.netlist import Diode, Lamp, Netlist, PowerTransformer, Rectifier, Tube, Winding
from ..diagnostics import Span
from ..parts.model import HeaterConnection
from ..records import record, replace
from ..units.format import show_volts
from .devices.averaged import OnePort
from .devices.diode import THERMAL_VOLTS, DiodeParameters, diode_current
from .devices.rectifier_tube import RectifierTubeParameters, rectifier_tube_current
from .results import Condition

LEAST_SOURCE_OHMS = 0.1
"""A leg needs some resistance: an ideal source into a capacitor has no finite pulse."""

DC_FORM_FACTORS = {
    ("dc-capacitor-input", "full-wave"): 1.15,
    ("dc-capacitor-input", "bridge"): 1.6,
    ("dc-capacitor-input", "hybrid-bridge"): 1.6,
    ("dc-capacitor-input", "doubler"): 1.6,
    ("dc-capacitor-input", "half-wave"): 2.2,
    ("dc-choke-input", "full-wave"): 0.71,
    ("dc-choke-input", "bridge"): 1.0,
    ("dc-choke-input", "hybrid-bridge"): 1.0,
    ("dc-choke-input", "doubler"): 1.0,
    ("dc-choke-input", "half-wave"): 1.0,
}
"""A maker's direct amps of a winding without a tap are those of a bridge, whatever is put on it."""

LOWER = "/lower"
"""What the second half of a doubler is called after its rectifier."""
SILICON_AMPS = 0.3
"""Within the charging pulses of an amp of this size; the forward volts of a hybrid bridge's diodes are taken there, and a decade of
current changes them by a tenth of a volt."""


class ImpossibleTransformer(ValueError):
    """A transformer whose resistances, volts and currents contradict each other; `span` is where it says so."""

    def __init__(self, message: str, span: Span) -> None:
        super().__init__(message)
        self.span = span


@record
class AveragedRectifier:
    """A rectifier as the averaged law wants it.

    peak: loaded peak EMF of a leg; no_load_peak: without the heaters' primary drop; ohms: of one conducting leg.
    pulses: conductions per mains cycle. silicon: saturation and emission_volts of the devices of one conducting path together;
    tube: perveance of one plate (0 for silicon); silicon_volts: forward volts of the diodes in its path, which are off the peak already.
    late: its crest is half a cycle after that of the winding's end a.
    """

    name: str
    arrangement: str
    plus: str
    minus: str
    peak: float
    no_load_peak: float
    ohms: float
    pulses: int
    saturation: float
    emission_volts: float
    perveance: float
    silicon_volts: float = 0.0
    late: bool = False

    @property
    def rectifier(self) -> str:
        """The id of the rectifier in the netlist that it is, or is half of."""
        return self.name.removesuffix(LOWER)

    def port(self) -> OnePort:
        """One conducting leg: volts -> amps, siemens."""
        ohms = np.array(self.ohms)
        if self.perveance > 0.0:
            return partial(rectifier_tube_current, p=RectifierTubeParameters(np.array(self.perveance), ohms))
        return partial(diode_current, p=DiodeParameters(np.array(self.saturation), np.array(self.emission_volts), ohms))

    def device_drop(self, amps: float) -> float:
        """Volts lost in the devices of one path at a steady current."""
        if amps <= 0.0:
            return 0.0
        if self.perveance > 0.0:
            return self.silicon_volts + (amps / self.perveance) ** (2.0 / 3.0)
        return self.emission_volts * math.log1p(amps / self.saturation)


def rectifier_elements(netlist: Netlist, condition: Condition, out: frozenset[str]) -> tuple[AveragedRectifier, ...]:
    """The averaged one-ports of a netlist; `out` are the tubes that are pulled."""
    return tuple(one for r in netlist.rectifiers for one in _halves(_averaged(netlist, condition, out, r), r))


def _halves(whole: AveragedRectifier, rectifier: Rectifier) -> tuple[AveragedRectifier, ...]:
    """A doubler as its two half-wave rectifiers; any other as it is."""
    if rectifier.arrangement != "doubler":
        return (whole,)
    upper = replace(whole, minus=rectifier.middle)
    return upper, replace(whole, name=f"{whole.name}{LOWER}", plus=rectifier.middle, late=True)


def _averaged(netlist: Netlist, condition: Condition, out: frozenset[str], rectifier: Rectifier) -> AveragedRectifier:
    transformer = netlist.by_ref[rectifier.transformer]
    assert isinstance(transformer, PowerTransformer)
    winding = transformer.winding(rectifier.winding)
    half = sum(winding.resistance) / len(winding.resistance) if winding.resistance else 0.0
    no_load = no_load_volts(transformer, winding, rectifier.arrangement)
    ratio = no_load / transformer.primary_volts
    mains = condition.mains_volts
    drop = heater_primary_amps(netlist, transformer, out) * transformer.primary_resistance
    peak = math.sqrt(2.0) * no_load * mains / transformer.primary_volts
    in_path = 2 if rectifier.arrangement == "bridge" else 1
    silicon = _silicon_volts(netlist, rectifier) if rectifier.arrangement == "hybrid-bridge" else 0.0
    if drop > 0.5 * mains:
        said = f"the heaters alone would lose {show_volts(drop)} of the mains' {show_volts(mains)} in the primary"
        raise ImpossibleTransformer(said, transformer.span)
    saturation, emission, perveance = _device(netlist, rectifier, in_path)
    return AveragedRectifier(
        name=rectifier.id,
        arrangement=rectifier.arrangement,
        plus=rectifier.plus,
        minus=rectifier.minus,
        peak=peak * (1.0 - drop / mains) - silicon,
        no_load_peak=peak,
        ohms=max(half + ratio**2 * transformer.primary_resistance + rectifier.extra_ohms, LEAST_SOURCE_OHMS),
        pulses=1 if rectifier.arrangement in ("half-wave", "doubler") else 2,
        saturation=saturation,
        emission_volts=emission,
        perveance=perveance,
        silicon_volts=silicon,
    )


def _silicon_volts(netlist: Netlist, rectifier: Rectifier) -> float:
    """Forward volts of the diodes of one leg of a hybrid bridge."""
    diode = next((part for ref in rectifier.devices if isinstance(part := netlist.by_ref[ref], Diode)), None)
    if diode is None:
        return 0.0
    count = max(rectifier.diodes_in_series, 1)
    volts = diode.type.emission.value * THERMAL_VOLTS
    return count * volts * math.log1p(SILICON_AMPS / diode.type.saturation_amps.value)


def _device(netlist: Netlist, rectifier: Rectifier, in_path: int) -> tuple[float, float, float]:
    """Saturation amps, emission volts of a path, perveance of a plate (0 for silicon)."""
    device = netlist.by_ref[rectifier.devices[0]]
    if isinstance(device, Diode):
        count = max(rectifier.diodes_in_series, 1) * in_path
        return device.type.saturation_amps.value, device.type.emission.value * THERMAL_VOLTS * count, 0.0
    assert isinstance(device, Tube)
    model = next(s.model for s in device.type.sections if s.kind == "rectifier")
    if model is None:
        raise ValueError(f"{device.ref} has no model")
    return 0.0, 0.0, model.parameters["perveance"] / in_path**1.5


def no_load_volts(transformer: PowerTransformer, winding: Winding, arrangement: str) -> float:
    """Rms volts of the winding (one half when centre-tapped) with no load, at the rated primary volts.

    Raises ImpossibleTransformer where they would be more than twice the rated volts: no source gives more than half its EMF to a load
    at a current it is meant for (beyond that a larger load gets less power).
    """
    if winding.no_load_volts is not None:
        return winding.no_load_volts
    amps = winding.amps * DC_FORM_FACTORS.get((winding.basis, arrangement), 1.0)
    half = sum(winding.resistance) / len(winding.resistance) if winding.resistance else 0.0
    lost = amps * (half + (2.0 * winding.volts / transformer.primary_volts) ** 2 * transformer.primary_resistance)
    if lost > winding.volts:
        volts = show_volts(winding.volts)
        said = f"the winding {winding.name} would lose {show_volts(lost)} in copper at its rated current, more than its {volts}"
        raise ImpossibleTransformer(said, winding.span)
    volts = winding.volts
    for _ in range(4):  # the turns ratio is that of the no-load volts, which it helps to find
        volts = winding.volts + amps * (half + (volts / transformer.primary_volts) ** 2 * transformer.primary_resistance)
    return volts


def heater_primary_amps(netlist: Netlist, transformer: PowerTransformer, out: frozenset[str]) -> float:
    """Primary rms amps of the heaters and filament lamps on a transformer, tubes in `out` left out."""
    total = 0.0
    for winding in transformer.windings:
        if winding.kind == "heater":
            volts = winding.no_load_volts if winding.no_load_volts is not None else winding.volts
            total += volts / transformer.primary_volts * heater_amps(netlist, transformer, winding, out)
    return total


def heater_amps(netlist: Netlist, transformer: PowerTransformer, winding: Winding, out: frozenset[str] = frozenset()) -> float:
    """Rated amps of everything on a heater winding, found by the nets of its ends."""
    return sum(amps for _, amps in heater_consumers(netlist, transformer, winding, out))


def heater_consumers(
    netlist: Netlist, transformer: PowerTransformer, winding: Winding, out: frozenset[str] = frozenset()
) -> tuple[tuple[str, float], ...]:
    """(Designator, amps) of tubes and lamps on a heater winding; two heaters in series are one row, "V4 + V5", none with one of them out.

    Rated amps at rated volts; of two in series what both together take at the sum of their volts, each a resistance of volts over amps.
    """
    ends = {transformer.net(pin) for pin in (winding.pins[0], winding.pins[2]) if pin}
    pairs = [pair for pair in series_pairs(netlist) if pair.winding == winding.name]
    among = {ref: pair for pair in pairs for ref in pair.refs}
    found = []
    for tube in netlist.of(Tube):
        pair = among.get(tube.ref)
        fed = None if tube.ref in out else heater_feed(tube)
        if pair is not None:
            if tube.ref == pair.refs[0] and not out & set(pair.refs):
                found.append((" + ".join(pair.refs), series_amps(netlist, pair)))
        elif fed and not ends.isdisjoint(fed[0]):
            found.append((tube.ref, fed[1].amps))
    for lamp in netlist.of(Lamp):
        if lamp.kind != "neon" and ends & {lamp.net("1"), lamp.net("2")}:
            found.append((lamp.ref, lamp.amps))
    return tuple(found)


def series_connections(netlist: Netlist, pair: SeriesPair) -> tuple[HeaterConnection, HeaterConnection]:
    """How the two heaters of a pair are connected. Raises ValueError where a heater is not wired."""
    first, second = (heater_connection(tube) for ref in pair.refs if isinstance(tube := netlist.by_ref[ref], Tube))
    if first is None or second is None:
        raise ValueError(f"a heater of {' and '.join(pair.refs)} is not wired")
    return first, second


def series_amps(netlist: Netlist, pair: SeriesPair) -> float:
    """Amps of two heaters in series at the sum of their rated volts: sum of volts over sum of resistances."""
    found = series_connections(netlist, pair)
    return sum(c.volts for c in found) / sum(c.volts / c.amps for c in found)


def heater_connection(tube: Tube) -> HeaterConnection | None:
    """How the tube's heater is fed, read off the wiring: the connection whose two sides are each on one net, and on different nets."""
    fed = heater_feed(tube)
    return fed[1] if fed else None


def heater_nets(tube: Tube) -> tuple[str, str] | None:
    """The two nets of the heater, None when its pins are not wired."""
    fed = heater_feed(tube)
    return fed[0] if fed else None
