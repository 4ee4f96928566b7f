"""What a net carries at most and stands at, over every state and corner that was solved: to size its wire and its insulation."""

from __future__ import annotations

import math
from collections.abc import Mapping

from ..analysis.results import Results
from ..circuit.heating import series_pairs
from ..circuit.netlist import Fuse, InterstageTransformer, Netlist, OutputTransformer, PowerTransformer, Resistor, Switch

SINE_ON_DIRECT = math.sqrt(1.5)
"""rms over mean of a direct current that a sine swings to nothing; the pulses of a push-pull pair in one lead have less (1.11)."""
SQUARE = math.sqrt(2.0)
"""rms of a clipped, square wave over that of the sine of the same peak."""
SWING = 2.0
"""A plate at an output transformer swings to twice its B+."""
CLASS_A = 2.0
"""A class A plate carries up to twice its idle current."""


def net_amps(netlist: Netlist, results: Results) -> dict[str, float]:
    """Net -> rms amps that a wire of it carries at most; nets of next to no current are left out."""
    direct, heaters = _supply_amps(netlist, results), heater_amps(results)
    speaker = _speaker_amps(netlist, results)
    made: dict[str, float] = {}
    for name, net in netlist.nets.items():
        if net.domain == "mains":
            made[name] = max(_fuse_amps(netlist), results.mains.primary_rms_amps, results.mains.full_drive_rms_amps or 0.0)
        elif net.domain == "supply":
            made[name] = _fed_amps(netlist, results, name) or direct
        elif net.domain == "speaker" and speaker is not None:
            made[name] = speaker
    made |= _winding_amps(netlist, results)
    made |= {pair.joint: heaters[pair.refs[0]] for pair in series_pairs(netlist) if pair.refs[0] in heaters}
    made |= _electrode_amps(netlist, results, direct)
    return made


def _fuse_amps(netlist: Netlist) -> float:
    return max((fuse.amps for fuse in netlist.of(Fuse) if fuse.where == "mains"), default=0.0)


def _supply_amps(netlist: Netlist, results: Results) -> float:
    """Of B+ as a whole: direct amps at idle in the worst corner or at full drive, with the signal on top."""
    bias = {r.id for r in netlist.rectifiers if r.plus not in netlist.b_plus}
    idle = (p.dc_amps for point in results.operating.values() for id, p in point.rectifiers.items() if id not in bias)
    full = results.load.full_drive_dc_amps if results.load else None
    return SINE_ON_DIRECT * max((*idle, full or 0.0), default=0.0)


def _fed_amps(netlist: Netlist, results: Results, net: str) -> float | None:
    """Direct amps through the resistor or choke that feeds a node, worst corner; None for what the rectifier feeds."""
    for part, pin in netlist.on_net.get(net, ()):
        if part.role.endswith("-through") and pin == "2":
            found = [abs(point.parts[part.ref].amps) for point in results.operating.values() if part.ref in point.parts]
            return max(found) if found else None
    return None


def _speaker_amps(netlist: Netlist, results: Results) -> float | None:
    """Clipped into the tap the speaker is on."""
    for part in netlist.of(OutputTransformer):
        tap = next((tap for tap in part.taps if results.load and tap.pin == results.load.tap), None)
        if tap and results.load:
            return SQUARE * math.sqrt(results.load.clean_watts / tap.ohms)
    return None


def _winding_amps(netlist: Netlist, results: Results) -> dict[str, float]:
    """Nets of the windings but the heaters' (their wires are sized one by one), and what lies behind the high-tension winding."""
    budgets = {(w.transformer, w.winding): max(w.rms_amps, w.full_drive_rms_amps or 0.0) for w in results.windings}
    made: dict[str, float] = {}
    most = 0.0
    middles = {r.middle for r in netlist.rectifiers if r.middle}
    for part in netlist.of(PowerTransformer):
        for winding in part.windings:
            amps = budgets.get((part.ref, winding.name))
            if winding.kind == "heater" or amps is None:
                continue
            ends = {part.net(pin) for pin in winding.pins if pin}
            made |= {net: amps for net in ends if netlist.nets[net].domain == "high-tension-ac" or net in middles}
            most = max(most, amps if winding.kind == "high-tension" else 0.0)
    tap = results.charging_rms_amps or 0.0
    made |= {name: tap for name in _tap_side(netlist) if netlist.nets[name].domain == "high-tension-ac"}
    rest = [name for name, net in netlist.nets.items() if net.domain == "high-tension-ac" and name not in made]
    return made | dict.fromkeys(rest, most)


def _electrode_amps(netlist: Netlist, results: Results, direct: float) -> dict[str, float]:
    """Plates, screens and cathodes; those of the output stage together carry no more than B+ as a whole."""
    made: dict[str, float] = {}
    for section in netlist.sections:
        points = [point.sections[section.ref] for point in results.operating.values() if section.ref in point.sections]
        if not points or section.unused:
            continue
        if section.ref in netlist.power_sections:
            found = {section.plate: direct, section.cathode: direct}
        else:
            most = CLASS_A * max(p.cathode_amps for p in points)
            found = {section.plate: most, section.cathode: most}
        found[section.screen] = CLASS_A * max(p.screen_amps or 0.0 for p in points)
        for net, amps in found.items():
            if net and netlist.nets[net].domain == "signal":
                made[net] = max(made.get(net, 0.0), amps)
    return made


def heater_amps(results: Results) -> Mapping[str, float]:
    """Tube -> amps of its heater; two in series have the same."""
    return {ref: amps for budget in results.heaters for names, amps in budget.consumers for ref in names.split(" + ")}


def _tap_side(netlist: Netlist) -> set[str]:
    """The nets of the tap of a high-tension winding and of what stands in its lead."""
    reached = {
        part.net(w.pins[1]) for part in netlist.of(PowerTransformer) for w in part.windings if w.kind == "high-tension" and w.pins[1]
    }
    while True:
        beyond = {
            pin.net
            for part in netlist.parts
            if isinstance(part, Fuse | Switch) and reached & {pin.net for pin in part.pins}
            for pin in part.pins
        }
        if beyond <= reached:
            return reached
        reached |= beyond


# -- volts ----------------------------------------------------------------------------------------------------------
def net_volts(netlist: Netlist, results: Results) -> dict[str, float]:
    """Net -> the most volts to ground, direct or peak, cold corner included; output plates at twice their B+."""
    made: dict[str, float] = {}
    for point in results.operating.values():
        for net, volts in point.volts.items():
            made[net] = max(made.get(net, 0.0), abs(volts))
    mains = math.sqrt(2.0) * float(netlist.region.insulation_high_volts)
    made |= {name: mains for name, net in netlist.nets.items() if net.domain == "mains"}
    made |= _alternating_peaks(netlist, results)
    made |= output_plate_volts(netlist, made)
    return made


def _alternating_peaks(netlist: Netlist, results: Results) -> dict[str, float]:
    """Ends of a winding at its own peak; what lies between it and the rectifier, a centre tap's lead too, at that of the high tension."""
    ends: dict[str, float] = {}
    most = 0.0
    for rectifier in netlist.rectifiers:
        points = [point.rectifiers[rectifier.id] for point in results.operating.values() if rectifier.id in point.rectifiers]
        peak = max((max(p.emf_peak_volts, math.sqrt(2.0) * p.no_load_volts_rms) for p in points), default=0.0)
        if rectifier.middle:  # end a swings from ground to the whole B+
            peak *= 2.0
        part = netlist.by_ref.get(rectifier.transformer)
        if isinstance(part, PowerTransformer):
            winding = part.winding(rectifier.winding)
            ends |= {part.net(pin): peak for pin in (winding.pins[0], winding.pins[2]) if pin}
            most = max(most, peak if winding.kind == "high-tension" else 0.0)
    return {name: ends.get(name, most) for name, net in netlist.nets.items() if net.domain == "high-tension-ac"}


def output_plate_volts(netlist: Netlist, worst: Mapping[str, float]) -> dict[str, float]:
    """Nets of the output transformer's primary that swing -> twice the B+ that feeds it; screens that hang on them swing as far."""
    made: dict[str, float] = {}
    for part in netlist.of(OutputTransformer):
        feeds = [part.net(pin) for pin in part.primary_pins if pin in ("CT", "B")]
        peak = SWING * max((worst.get(net, 0.0) for net in feeds), default=0.0)
        made |= {net: peak for net in map(part.net, part.primary_pins) if net not in feeds}
        made |= {screen: peak for screen in _screens_on(netlist, set(made)) if screen not in netlist.b_plus}
    for between in netlist.of(InterstageTransformer):
        made[between.net("P")] = SWING * worst.get(between.net("B"), 0.0)
    return made


def _screens_on(netlist: Netlist, nets: set[str]) -> list[str]:
    """Screens that a stopper ties to one of these nets."""
    stoppers = [p for p in netlist.of(Resistor) if p.role.startswith("screen-stopper") and {pin.net for pin in p.pins} & nets]
    return [pin.net for part in stoppers for pin in part.pins if pin.net not in nets]
