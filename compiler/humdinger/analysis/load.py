"""What the output tubes work into, and about how much comes out.

Load: speaker ohms times the turns ratio of its tap squared. The optimum is that of the tube's published condition of the same kind whose
plate and screen volts are closest. Push-pull ceiling P = 2 (Vb - Vknee)²/Raa, class AB or B (Radiotron Designer's Handbook ch. 13, from
memory); class-B bound of one tube's dissipation 4 Vb²/(pi² Raa), reached at 2/pi of full swing. Single-ended pentode: the smaller of
(Va - Vknee)²/(2 Ra) and Ia² Ra/2, idle volts and amps: one of the two limits the swing first. Direct amps of a pair at that power: 2/pi of
the peak 4 (Vb - Vknee)/Raa (half sines of class B, B+ taken as stiff; standard algebra), the screens left at their idle amps. Bass corner
of the primary R/(2 pi L), R the load parallel to the plate resistance at idle (standard algebra).
"""

from __future__ import annotations

import math

import numpy as np

from ..circuit.netlist import Netlist, OutputTransformer, Speaker, Tap, TubeSection
from ..parts.model import OperatingPoint
from .devices.pentode import PentodeParameters, pentode_currents
from .results import OutputLoad, SectionPoint
from .study import Study

BASS_HERTZ = 82.0
"""The low E of a guitar, 82.4 Hz: where the primary may cost 3 dB."""

PAIR = "load_plate_to_plate_ohms"
SINGLE = "load_ohms"


def output_load(study: Study) -> OutputLoad | None:
    """None without an output transformer or output tubes."""
    netlist = study.netlist
    transformer = next(netlist.of(OutputTransformer), None)
    sections = [netlist.by_section[ref] for ref in netlist.power_sections if ref in study.nominal.sections]
    if transformer is None or not sections:
        return None
    tap, ohms = _tap(netlist, transformer)
    pair = transformer.topology == "push-pull"
    load = tap.turns_ratio**2 * ohms
    first = study.nominal.sections[sections[0].ref]
    knee = knee_volts(sections[0], first, load, pair)
    watts, formula = _pair_watts(first.plate_volts, knee, load) if pair else _single_watts(first, knee, load)
    best = nearest_point(sections[0], first, PAIR if pair else SINGLE)
    plate = 2.0 * first.plate_ohms if pair else first.plate_ohms
    optimum = (best.values or {}).get(PAIR if pair else SINGLE) if best else None
    return OutputLoad(
        topology=transformer.topology,
        tap=tap.pin,
        load_ohms=load,
        optimum_ohms=optimum,
        optimum_source=best.source if best else "",
        ratio=load / optimum if optimum else None,
        class_b_watts=4.0 * first.plate_volts**2 / (math.pi**2 * load) if pair else None,
        clean_watts=watts,
        formula=formula,
        plate_ohms=plate,
        least_henries=1.0 / (1.0 / load + 1.0 / plate) / (2.0 * math.pi * BASS_HERTZ),
        full_drive_dc_amps=_full_drive_amps(study, sections, 4.0 * (first.plate_volts - knee) / load if pair else 0.0),
    )


def _full_drive_amps(study: Study, sections: list[TubeSection], peak: float) -> float | None:
    """Direct amps of the B+ rectifier at full drive: idle, and what the plates take more; None without that rectifier."""
    rectifier = study.nominal.rectifiers.get("high-tension")
    if rectifier is None:
        return None
    idle = sum(study.nominal.sections[s.ref].plate_amps for s in sections)
    return rectifier.dc_amps + max(2.0 / math.pi * peak - idle, 0.0)


def _tap(netlist: Netlist, transformer: OutputTransformer) -> tuple[Tap, float]:
    """The tap the speakers hang on and their ohms in parallel; the tap itself loaded by its nominal ohms when nothing is on it."""
    for tap in transformer.taps:
        on_it = [s.ohms for s in netlist.of(Speaker) if transformer.net(tap.pin) in {pin.net for pin in s.pins}]
        if on_it:
            return tap, 1.0 / sum(1.0 / z for z in on_it)
    last = transformer.taps[-1]
    return last, last.ohms


def nearest_point(section: TubeSection, point: SectionPoint, key: str) -> OperatingPoint | None:
    """The published condition with that load whose plate and screen volts are closest (sum of squares of the relative distances)."""
    best, least = None, math.inf
    for found in section.section.points:
        values = found.values or {}
        plate = values.get("plate_volts") or values.get("supply_volts")
        if key not in values or not plate:
            continue
        screen = values.get("screen_volts") or plate
        distance = (point.plate_volts / plate - 1.0) ** 2 + ((point.screen_volts or point.plate_volts) / screen - 1.0) ** 2
        if distance < least:
            best, least = found, distance
    return best


def knee_volts(section: TubeSection, point: SectionPoint, load: float, pair: bool) -> float:
    """Plate volts left at the peak, by the tube's own law: grid at 0 V, idle screen volts, on the load line (a quarter of Raa for a pair).

    0 for a law other than the pentode's.
    """
    model = section.section.model
    if model is None or model.law != "pentode" or point.screen_volts is None:
        return 0.0
    law = PentodeParameters.stack([model.parameters])
    slope = load / 4.0 if pair else load
    volts = np.linspace(0.0, point.plate_volts, 400)
    amps = pentode_currents(np.zeros((400, 1)), volts[:, None], np.full((400, 1), point.screen_volts), law).plate[:, 0]
    line = (point.plate_volts - volts) / slope + (0.0 if pair else point.plate_amps)
    above = np.flatnonzero(amps >= line)
    return float(volts[above[0]]) if above.size else point.plate_volts


def _pair_watts(volts: float, knee: float, load: float) -> tuple[float, str]:
    return 2.0 * (
        volts - knee
    ) ** 2 / load, f"2 (Vb - Vknee)²/Raa, Vb {volts:.0f} V, Vknee {knee:.0f} V by the tube law, Raa {load:.0f} ohm"


def _single_watts(point: SectionPoint, knee: float, load: float) -> tuple[float, str]:
    by_volts = (point.plate_volts - knee) ** 2 / (2.0 * load)
    by_amps = point.plate_amps**2 * load / 2.0
    if by_amps < by_volts:
        return by_amps, f"Ia² Ra/2, Ia {1e3 * point.plate_amps:.1f} mA, Ra {load:.0f} ohm"
    return by_volts, f"(Va - Vknee)²/(2 Ra), Va {point.plate_volts:.0f} V, Vknee {knee:.0f} V by the tube law, Ra {load:.0f} ohm"
