"""Load lines: what a plate works into for direct current and for signal, and where the swing ends; and the plate curves to draw them on.

The direct line goes through the idle point with the resistance between plate and cathode, B+ nodes held and the screen's current with
them; where tubes share a cathode all of them move together. The signal line has the real part of what plate to cathode sees at 1 kHz, the
section's own conductances taken out of the network (textbook: plate load parallel to the next stage's input, with the cathode resistor
where it is not bypassed); an oscillator's at its own rate. Output tubes: the reflected load of the tap in use. A pair's tube sees Raa/2
while both conduct and Raa/4 from the kink on, where the other is cut off: (Vq - Iq Raa/2, 2 Iq) on straight curves (Radiotron Designer's
Handbook ch. 13, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from ..circuit.netlist import GROUND, Netlist, TubeSection
from ..parts.model import RatingSet
from ..records import record, replace
from .devices.pentode import PentodeParameters, pentode_currents
from .devices.softplus import Floats
from .devices.triode import TriodeParameters, triode_currents
from .load import tubes_aside
from .network import Edge, edges, nodes
from .results import LoadLine, OutputLoad, SectionPoint, Tremolo
from .screening import primary_amps, screen_at, screen_share
from .smallsignal import GAIN_HERTZ
from .study import Study

STEPS = (0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 2.5, 5.0, 10.0, 20.0)
"""Grid volts from curve to curve."""
CURVES = 9
"""At most so many steps down to cut-off."""
POINTS = 61
"""Points of a curve, closer where it bends."""


@record
class Curve:
    """Plate amps over plate volts at one grid voltage."""

    grid_volts: float
    volts: tuple[float, ...]
    amps: tuple[float, ...]


@record
class Chart:
    """Where the curves of a load line are drawn: axes that end on round numbers, and what falls between them.

    limit: the dissipation limit as (volts, amps) points; empty where it lies outside or is not known.
    """

    volts_end: float
    amps_end: float
    curves: tuple[Curve, ...]
    limit: tuple[tuple[float, float], ...]


PlateLaw = Callable[[Floats | float, Floats | float], Floats]


def load_lines(study: Study, load: OutputLoad | None, wave: Tremolo | None) -> tuple[LoadLine, ...]:
    """One per section in use that conducts and whose law is known, in signal order."""
    netlist = study.netlist
    network = edges(study.elements("nominal"))
    oscillators = {stage.id for stage in netlist.stages_of("phase-shift-oscillator")}
    found = []
    for section in netlist.sections:
        point = study.nominal.sections.get(section.ref)
        if section.unused or point is None or section.section.model is None or not (section.plate and section.cathode):
            continue
        own = wave if section.stage in oscillators else None
        line = _line(study, network, section, point, load if section.ref in netlist.power_sections else None, own)
        if line is not None:
            found.append(line)
    return tuple(found)


def _line(
    study: Study, network: tuple[Edge, ...], section: TubeSection, point: SectionPoint, load: OutputLoad | None, wave: Tremolo | None
) -> LoadLine | None:
    share = screen_share(study.netlist, section)
    law = plate_law(section, point.screen_volts, point.plate_volts, share)
    point = triode_of(point) if share == 1.0 else point
    if law is None or point.plate_amps <= 0.0 or point.plate_volts <= 0.0:
        return None
    dc = _direct_ohms(study.netlist, network, section)
    ac, hertz = _signal_ohms(study, section), GAIN_HERTZ
    if wave is not None and wave.plate_load_ohms and wave.set_hertz:
        ac, hertz = wave.plate_load_ohms, wave.set_hertz
    pair = load is not None and load.topology == "push-pull"
    alone = None
    if load is not None:
        own_load = load.load_ohms * tubes_aside(study.netlist)
        ac = own_load / 2.0 if pair else own_load
        alone = own_load / 4.0 if pair else None
    if not (math.isfinite(ac) and ac > 0.0):
        return None
    kink = point.plate_volts - point.plate_amps * ac if alone else None
    zero, amps = _at_zero(law, point, ac, alone)
    rating = section.section.rating()
    watts = _limit_of(rating, share)
    return LoadLine(
        section=section.ref,
        stage=section.stage,
        plate_volts=point.plate_volts,
        grid_volts=point.grid_volts,
        screen_volts=point.screen_volts,
        plate_amps=point.plate_amps,
        dc_ohms=dc,
        dc_cutoff_volts=point.plate_volts + point.plate_amps * dc,
        ac_ohms=ac,
        ac_hertz=hertz,
        zero_volts=zero,
        zero_amps=amps,
        cutoff_volts=2.0 * point.plate_volts - zero if pair else point.plate_volts + point.plate_amps * ac,
        limit_watts=watts[0] if watts else None,
        limit_system=watts[1] if watts else "",
        limit_source=watts[2] if watts else "",
        alone_ohms=alone,
        kink_volts=kink,
        kink_amps=2.0 * point.plate_amps if alone else None,
        screen_share=share,
    )


def _limit_of(rating: RatingSet | None, share: float) -> tuple[float, str, str] | None:
    """Watts, rating system and source of the plate's limit; of a triode-connected tube that of plate and screen together."""
    if rating is None or rating.plate_watts is None:
        return None
    plate = rating.plate_watts
    if share == 1.0 and rating.screen_watts is not None:
        return plate.value + rating.screen_watts.value, f"{rating.system}, with the screen's", plate.source
    return plate.value, rating.system, plate.source


def _direct_ohms(netlist: Netlist, network: tuple[Edge, ...], section: TubeSection) -> float:
    """Ohms between plate and cathode for direct current, B+ nodes and ground held, sections on the same cathode carrying the same."""
    held = {GROUND, *netlist.b_plus, *(net for r in netlist.rectifiers for net in (r.plus, r.minus))}
    together = [s for s in netlist.sections if s.cathode == section.cathode and not s.unused and s.plate]
    nets = {net for e in network for net in (e.a, e.b)} | held | {net for s in together for net in (s.plate, s.cathode)}
    at = nodes(nets, network, grounded=held)
    side = np.zeros(at.size + 1)
    for one in together:
        side[at.row[one.plate]] += 1.0
        side[at.row[one.cathode]] -= 1.0
    volts = np.append(np.linalg.solve(at.conductance(network), side[:-1]), 0.0)
    return float(volts[at.row[section.plate]] - volts[at.row[section.cathode]])


def _signal_ohms(study: Study, section: TubeSection) -> float:
    """Real part of plate to cathode at 1 kHz, in the amp with this section's conductances taken out; nan where that has no solution."""
    found = study.playing
    system = found.system
    own = [k for k, port in enumerate(system.bank.ports) if port.owner == section.ref]
    bare = found.Y - system.B[own].T @ found.solved.slopes[own] @ system.A
    side = np.zeros(system.size)
    for net, sign in ((section.plate, 1.0), (section.cathode, -1.0)):
        if (row := system.row(net)) is not None:
            side[row] += sign
    try:
        return float((side @ np.linalg.solve(bare + 2j * np.pi * GAIN_HERTZ * found.C, side)).real)
    except np.linalg.LinAlgError:
        return math.nan


def _line_amps(volts: Floats | float, point: SectionPoint, ohms: float, alone: float | None) -> Floats:
    """Amps on the signal line: through idle with `ohms`; of a pair the steeper line of one tube alone where that is more."""
    amps = point.plate_amps + (point.plate_volts - np.asarray(volts, dtype=float)) / ohms
    return amps if alone is None else np.maximum(amps, (point.plate_volts - np.asarray(volts, dtype=float)) / alone)


def _at_zero(law: PlateLaw, point: SectionPoint, ohms: float, alone: float | None) -> tuple[float, float]:
    """Where the signal line meets the curve of 0 V at the grid (bisection: the line falls, the curve rises)."""
    low, high = 0.0, point.plate_volts
    for _ in range(60):
        middle = 0.5 * (low + high)
        if float(law(0.0, middle)) > float(_line_amps(middle, point, ohms, alone)):
            high = middle
        else:
            low = middle
    return high, float(_line_amps(high, point, ohms, alone))


def triode_of(point: SectionPoint) -> SectionPoint:
    """A triode-connected pentode's point with plate and screen as one electrode."""
    return replace(point, plate_amps=primary_amps(point, 1.0), plate_watts=point.plate_watts + (point.screen_watts or 0.0))


def plate_law(section: TubeSection, screen_volts: float | None, plate_volts: float = 0.0, share: float = 0.0) -> PlateLaw | None:
    """Plate amps of (grid volts, plate volts) by the section's own model; None without a law for it.

    The screen is held, or follows the plate by a share from the volts that both have at idle. Triode-connected: amps of both together.
    """
    model = section.section.model
    if model is not None and model.law == "triode":
        triode = TriodeParameters.stack([model.parameters])
        return lambda grid, plate: triode_currents(np.asarray(grid, dtype=float), np.asarray(plate, dtype=float), triode).plate.reshape(
            np.broadcast_shapes(np.shape(grid), np.shape(plate))
        )
    if model is not None and model.law == "pentode" and screen_volts is not None:
        pentode = PentodeParameters.stack([model.parameters])
        if share:
            return lambda grid, plate: _following(grid, plate, pentode, (plate_volts, screen_volts), share)
        return lambda grid, plate: pentode_currents(
            np.asarray(grid, dtype=float), np.asarray(plate, dtype=float), np.asarray(screen_volts, dtype=float), pentode
        ).plate.reshape(np.broadcast_shapes(np.shape(grid), np.shape(plate)))
    return None


def _following(grid: Floats | float, plate: Floats | float, law: PentodeParameters, idle: tuple[float, float], share: float) -> Floats:
    volts, anode = np.asarray(grid, dtype=float), np.asarray(plate, dtype=float)
    found = pentode_currents(volts, anode, screen_at(anode, *idle, share), law)
    amps = found.plate + found.screen if share == 1.0 else found.plate
    return amps.reshape(np.broadcast_shapes(volts.shape, anode.shape))


def chart(section: TubeSection, line: LoadLine) -> Chart | None:
    """The curves for a load line of that section, and the axes they are drawn on."""
    law = plate_law(section, line.screen_volts, line.plate_volts, line.screen_share)
    if law is None:
        return None
    amps_end = round_up(1.12 * max(line.zero_amps, 2.0 * line.plate_amps))
    volts_end = round_up(1.04 * max(line.dc_cutoff_volts, line.cutoff_volts, line.plate_volts))
    deepest = _deepest(law, volts_end, amps_end)
    step = next((s for s in STEPS if deepest / s <= CURVES), STEPS[-1])
    volts = volts_end * np.linspace(0.0, 1.0, POINTS) ** 1.5
    curves = []
    for k in range(math.ceil(deepest / step) + 1):
        curve = _clipped(-k * step, volts, law, amps_end)
        if max(curve.amps) > 0.004 * amps_end:
            curves.append(curve)
    return Chart(volts_end, amps_end, tuple(curves), _limit(line.limit_watts, volts_end, amps_end))


def _clipped(grid: float, volts: Floats, law: PlateLaw, amps_end: float) -> Curve:
    """A curve up to where it leaves the chart at the top."""
    amps = np.asarray(law(grid, volts), dtype=float)
    beyond = np.flatnonzero(amps > amps_end)
    if beyond.size:
        k = int(beyond[0])
        share = (amps_end - amps[k - 1]) / (amps[k] - amps[k - 1])
        volts = np.append(volts[:k], volts[k - 1] + share * (volts[k] - volts[k - 1]))
        amps = np.append(amps[:k], amps_end)
    return Curve(grid + 0.0, tuple(map(float, volts)), tuple(map(float, amps)))


def _deepest(law: PlateLaw, volts_end: float, amps_end: float) -> float:
    """Volts below the cathode at which the section is as good as cut off at the right end of the chart."""
    low, high = 0.0, 200.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if float(law(-middle, volts_end)) > 0.02 * amps_end else (low, middle)
    return high


def _limit(watts: float | None, volts_end: float, amps_end: float) -> tuple[tuple[float, float], ...]:
    if watts is None or watts / amps_end >= volts_end:
        return ()
    volts = np.geomspace(watts / amps_end, volts_end, 33)
    return tuple((float(v), float(watts / v)) for v in volts)


def round_up(value: float) -> float:
    """The next of 1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8 times a power of ten."""
    power = 10.0 ** math.floor(math.log10(value))
    mantissa = next((s for s in (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0) if s * power >= value * (1 - 1e-9)), 10.0)
    return float(f"{mantissa * power:.3g}")
