"""What an output tube does while its grid is moved slowly: the wave that a plain tremolo asks for, and where the tube is cut off.

By the tube's own law, plate and screen standing still (a frozen picture: the coupling and cathode capacitors are not in it). Handbook
arithmetic puts cut-off at Vg2/mu, mu the amplification from grid to screen; a tube with a soft knee still draws a quarter of its idle
current there, so it is not asked.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ..parts.model import TubeModel
from .devices.pentode import PentodeParameters, pentode_currents
from .devices.softplus import Floats
from .devices.triode import TriodeParameters, triode_currents
from .results import SectionPoint
from .study import Study

DEPTH_DB = 6.0
"""Between loudest and softest; a depth of 0.33, plainly heard (own choice)."""
CUT_OFF_SHARE = 0.01
"""Of the plate current of idle (own choice)."""
SAMPLES = 500


def needed_peak(study: Study) -> float | None:
    """Peak volts for DEPTH_DB, the largest of the power sections; None where a section has no law."""
    found = []
    for ref in study.netlist.power_sections:
        point, model = study.nominal.sections.get(ref), study.netlist.by_section[ref].section.model
        if point is None or model is None:
            return None
        wave = np.linspace(0.0, _range(point), 4 * SAMPLES)
        down = _plate(model, point, point.grid_volts - wave)[1]
        # a grid that conducts goes no further up
        up = _plate(model, point, np.minimum(point.grid_volts + wave, max(point.grid_volts, 0.0)))[1]
        reached = np.flatnonzero(down <= up * 10.0 ** (-DEPTH_DB / 20.0))
        if not len(reached):
            return None
        found.append(float(wave[reached[0]]))
    return max(found, default=None)


def cut_off_grid_volts(study: Study) -> Mapping[str, float]:
    """Power section -> grid volts at which the plate current has fallen to CUT_OFF_SHARE of idle; left out where it has no law."""
    made: dict[str, float] = {}
    for ref in study.netlist.power_sections:
        point, model = study.nominal.sections.get(ref), study.netlist.by_section[ref].section.model
        if point is None or model is None:
            continue
        grid = point.grid_volts - np.linspace(0.0, _range(point), 4 * SAMPLES)
        amps = _plate(model, point, grid)[0]
        below = np.flatnonzero(amps <= CUT_OFF_SHARE * point.plate_amps)
        if len(below):
            made[ref] = float(grid[below[0]])
    return made


def _range(point: SectionPoint) -> float:
    """Volts that cut any output tube off: half of what stands at plate or screen."""
    return 0.5 * max(point.plate_volts, point.screen_volts or 0.0)


def _plate(model: TubeModel, point: SectionPoint, grid: Floats) -> tuple[Floats, Floats]:
    """Plate amps and transconductance over grid volts, plate and screen as they stand."""
    plate = np.full_like(grid, point.plate_volts)
    if model.law == "pentode":
        screen = np.full_like(grid, point.plate_volts if point.screen_volts is None else point.screen_volts)
        pentode = pentode_currents(grid, plate, screen, PentodeParameters.stack([model.parameters]))
        return pentode.plate, pentode.plate_by_grid
    triode = triode_currents(grid, plate, TriodeParameters.stack([model.parameters]))
    return triode.plate, triode.plate_by_grid
