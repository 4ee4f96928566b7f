"""What the output tubes work into, and about how much comes out.

Load: ohms of the speakers (`speakers`) times the turns ratio of their tap squared. The optimum is that of the tube's published condition
of the same kind whose plate and screen volts are closest. Push-pull ceiling
P = 2 (Vb - Vknee)²/Raa, class AB or B (Radiotron Designer's Handbook ch. 13, from memory); class-B bound of one tube's dissipation
4 Vb²/(pi² Raa), reached at 2/pi of full swing. Single-ended pentode: the smaller of
(Va - Vknee)²/(2 Ra) and Ia² Ra/2, idle volts and amps: one of the two limits the swing first. Direct amps of a pair at that power: 2/pi of
the peak 4 (Vb - Vknee)/Raa (half sines of class B, B+ taken as stiff; standard algebra), the screens left at their idle amps. Bass corner
of the primary R/(2 pi L), R the load parallel to the plate resistance at idle (standard algebra).

Several tubes on a side share the current: each sees the load times their number, the best load of the side is that of the type over it.
The knee of a screen that follows its plate (`screening`) is that of the tube so connected. Best load: of the same connection where one is
published. In ultralinear connection that of the pentode (common practice); in triode connection nothing stands for it.
"""

from __future__ import annotations

import math

import numpy as np

from ..circuit.netlist import Netlist, OutputTransformer, TubeSection
from ..parts.model import OperatingPoint
from .devices.pentode import PentodeParameters, pentode_currents
from .results import OutputLoad, SectionPoint
from .screening import primary_amps, screen_at, screen_share
from .speakers import speaker_tap
from .study import Study

BASS_HERTZ = 82.0
"""The low E of a guitar, 82.4 Hz: where the primary may cost 3 dB."""

PAIR = "load_plate_to_plate_ohms"
SINGLE = "load_ohms"
TRIODE = "triode-connected"
"""How the library calls a published condition of that connection."""


def output_load(study: Study) -> OutputLoad | None:
    """None without an output transformer or output tubes."""
    netlist = study.netlist
    transformer = next(netlist.of(OutputTransformer), None)
    sections = [netlist.by_section[ref] for ref in netlist.power_sections if ref in study.nominal.sections]
    if transformer is None or not sections:
        return None
    tap, ohms = speaker_tap(netlist, transformer)
    pair = transformer.topology == "push-pull"
    load = tap.turns_ratio**2 * ohms
    first = study.nominal.sections[sections[0].ref]
    alike = tubes_aside(netlist)
    share = screen_share(netlist, sections[0])
    knee = knee_volts(sections[0], first, alike * load, pair, share)
    watts, formula = _pair_watts(first.plate_volts, knee, load) if pair else _single_watts(first, knee, load, alike, share)
    best = nearest_point(sections[0], first, PAIR if pair else SINGLE, triode=share == 1.0)
    plate = (2.0 if pair else 1.0) * _plate_ohms(sections[0], first, share) / alike
    optimum = (best.values or {}).get(PAIR if pair else SINGLE) if best else None
    optimum = optimum / alike if optimum else None
    return OutputLoad(
        topology=transformer.topology,
        tap=tap.pin,
        load_ohms=load,
        optimum_ohms=optimum,
        optimum_source=best.source if best else "",
        ratio=load / optimum if optimum else None,
        class_b_watts=4.0 * first.plate_volts**2 / (math.pi**2 * load * alike) if pair else None,
        clean_watts=watts,
        formula=formula,
        plate_ohms=plate,
        least_henries=1.0 / (1.0 / load + 1.0 / plate) / (2.0 * math.pi * BASS_HERTZ),
        full_drive_dc_amps=_full_drive_amps(study, sections, 4.0 * (first.plate_volts - knee) / load if pair else 0.0),
    )


def tubes_aside(netlist: Netlist) -> int:
    """How many output tubes share each side of the primary; 1 without output tubes."""
    first = next((netlist.by_section[ref].plate for ref in netlist.power_sections), "")
    return max(1, sum(netlist.by_section[ref].plate == first for ref in netlist.power_sections))


def _plate_ohms(section: TubeSection, point: SectionPoint, share: float) -> float:
    """Plate resistance at idle as the primary sees it, with a screen that follows by x: 1/(gpp + x (gps + gsp) + x² gss).

    g: slope of the first electrode's current over the second one's volts, by the tube's law. A tap is a transformer of x: the screen's
    current counts x times there (ideal transformer, standard algebra).
    """
    model = section.section.model
    if not share or model is None or model.law != "pentode" or point.screen_volts is None:
        return point.plate_ohms
    grid, plate, screen = (np.array([x]) for x in (point.grid_volts, point.plate_volts, point.screen_volts))
    g = pentode_currents(grid, plate, screen, PentodeParameters.stack([model.parameters]))
    siemens = g.plate_by_plate + share * (g.plate_by_screen + g.screen_by_plate) + share**2 * g.screen_by_screen
    return 1.0 / float(siemens[0])


def _full_drive_amps(study: Study, sections: list[TubeSection], peak: float) -> float | None:
    """Direct amps of the B+ rectifier at full drive: idle, and what the plates take more; None without that rectifier."""
    rectifier = study.nominal.rectifiers.get("high-tension")
    if rectifier is None:
        return None
    idle = sum(study.nominal.sections[s.ref].plate_amps for s in sections)
    return rectifier.dc_amps + max(2.0 / math.pi * peak - idle, 0.0)


def nearest_point(section: TubeSection, point: SectionPoint, key: str, *, triode: bool = False) -> OperatingPoint | None:
    """The published condition with that load whose plate and screen volts are closest (sum of squares of the relative distances).

    triode: only conditions in triode connection; else none of them.
    """
    best, least = None, math.inf
    for found in section.section.points:
        values = found.values or {}
        plate = values.get("plate_volts") or values.get("supply_volts")
        if key not in values or not plate or triode != (found.kind == TRIODE):
            continue
        screen = values.get("screen_volts") or plate
        distance = (point.plate_volts / plate - 1.0) ** 2 + ((point.screen_volts or point.plate_volts) / screen - 1.0) ** 2
        if distance < least:
            best, least = found, distance
    return best


def knee_volts(section: TubeSection, point: SectionPoint, load: float, pair: bool, share: float = 0.0) -> float:
    """Plate volts left at the peak, by the tube's own law: grid at 0 V, on the load line (a pair's: a quarter of Raa, or half of it where
    both still conduct).

    The screen stays at its idle volts or follows the plate by a share. 0 for a law other than the pentode's.
    """
    model = section.section.model
    if model is None or model.law != "pentode" or point.screen_volts is None:
        return 0.0
    law = PentodeParameters.stack([model.parameters])
    slope = load / 4.0 if pair else load
    volts = np.linspace(0.0, point.plate_volts, 400)
    found = pentode_currents(
        np.zeros((400, 1)), volts[:, None], screen_at(volts, point.plate_volts, point.screen_volts, share)[:, None], law
    )
    amps = found.plate[:, 0] + (found.screen[:, 0] if share == 1.0 else 0.0)  # of a triode's the screen's current is the plate's
    line = (point.plate_volts - volts) / slope + (0.0 if pair else primary_amps(point, share))
    if pair:  # one that is still in class A there has both tubes on the line
        line = np.maximum(line, (point.plate_volts - volts) / (load / 2.0) + primary_amps(point, share))
    above = np.flatnonzero(amps >= line)
    return float(volts[above[0]]) if above.size else point.plate_volts


def _pair_watts(volts: float, knee: float, load: float) -> tuple[float, str]:
    return 2.0 * (
        volts - knee
    ) ** 2 / load, f"2 (Vb - Vknee)²/Raa, Vb {volts:.0f} V, Vknee {knee:.0f} V by the tube law, Raa {load:.0f} ohm"


def _single_watts(point: SectionPoint, knee: float, load: float, alike: int, share: float) -> tuple[float, str]:
    by_volts = (point.plate_volts - knee) ** 2 / (2.0 * load)
    amps = alike * primary_amps(point, share)
    by_amps = amps**2 * load / 2.0
    if by_amps < by_volts:
        return by_amps, f"Ia² Ra/2, Ia {1e3 * amps:.1f} mA, Ra {load:.0f} ohm"
    return by_volts, f"(Va - Vknee)²/(2 Ra), Va {point.plate_volts:.0f} V, Vknee {knee:.0f} V by the tube law, Ra {load:.0f} ohm"
