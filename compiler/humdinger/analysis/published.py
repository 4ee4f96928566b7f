"""A published operating point as a model sees it: one tube, volts to its cathode; and the same tube driven to full output.

Handbooks give pairs, supply volts, cathode resistors and common screen resistors; here all that becomes per-tube volts and amps.
The full-drive simulation is quasi-static: sine at the grid, stiff supply, ideal transformer, a resistive load. Used to fit and to check
models, not for amps.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from ..parts.model import OperatingPoint
from ..records import record
from .devices.pentode import PentodeParameters, pentode_currents
from .devices.softplus import Floats

PHASES = 96
"""Samples of half a drive cycle, 0 to pi."""


@record
class Row:
    """One tube at rest, as published. Volts to the cathode, amps, siemens, ohms; None where the source does not say.

    triode: whether it is a triode or connected as one. derived: what had to be computed from resistors and supply, for the reader.
    """

    plate_volts: float
    grid_volts: float
    screen_volts: float | None
    plate_amps: float
    screen_amps: float | None
    transconductance: float | None
    plate_ohms: float | None
    triode: bool
    source: str
    derived: str = ""


def resting_row(point: OperatingPoint) -> Row | None:
    """The point as a row, None when it does not say enough (no plate current, or no way to the grid volts)."""
    v = point.values or {}
    n = point.tubes
    if "plate_amps" not in v:
        return None
    plate_amps = v["plate_amps"] / n
    screen_amps = v["screen_amps"] / n if "screen_amps" in v else None
    derived = []
    cathode_volts = 0.0
    grid = v.get("grid_volts")
    if grid is None:
        if screen_amps is None or not ("cathode_ohms" in v or "common_cathode_ohms" in v):
            return None
        total = plate_amps + screen_amps
        cathode_volts = total * v["cathode_ohms"] if "cathode_ohms" in v else total * n * v["common_cathode_ohms"]
        grid = -cathode_volts
        derived.append("grid volts from the cathode resistor")
    if "plate_volts" in v:
        plate = v["plate_volts"]
    elif "supply_volts" in v:
        plate = v["supply_volts"] - cathode_volts
        derived.append("plate volts from the supply")
    else:
        return None
    screen = v.get("screen_volts")
    if screen is None and "screen_series_ohms" in v and screen_amps is not None:
        screen = v.get("screen_supply_volts", v.get("supply_volts", 0.0)) - n * screen_amps * v["screen_series_ohms"] - cathode_volts
        derived.append("screen volts from the common screen resistor")
    elif screen is not None and "supply_volts" in v:
        screen -= cathode_volts
    triode = point.kind == "triode-connected" or screen is None
    transconductance, plate_ohms = v.get("transconductance"), v.get("plate_ohms")
    return Row(plate, grid, screen, plate_amps, screen_amps, transconductance, plate_ohms, triode, point.source, ", ".join(derived))


class Drive(NamedTuple):
    """A published full-drive condition: fixed bias volts, drive of one grid peak, load as the handbook has it (pairs: plate to plate)."""

    plate_volts: float
    grid_volts: float
    screen_supply_volts: float
    screen_series_ohms: float
    drive_peak_volts: float
    load_ohms: float
    pair: bool


class FullDrive(NamedTuple):
    """Mean amps of all tubes together and output at full drive. distortion: root of the sum of squares of harmonics 2 to 9, percent."""

    plate_amps: float
    screen_amps: float
    output_watts: float
    distortion_percent: float


def drive_condition(point: OperatingPoint) -> Drive | None:
    """The full-drive condition of a point with fixed bias (or a bias so stiff that it counts as fixed); None when it says too little.

    Without a drive figure the grid is driven to 0 V, as class A1 and AB1 are defined (common practice). A pair's figure is grid to grid.
    """
    v = point.values or {}
    pair = point.tubes == 2
    load = v.get("load_plate_to_plate_ohms" if pair else "load_ohms")
    plate = v.get("plate_volts", v.get("supply_volts"))
    screen = v.get("screen_volts", v.get("screen_supply_volts", v.get("supply_volts")))
    if load is None or plate is None or screen is None or "grid_volts" not in v or point.kind == "triode-connected":
        return None
    drive = -v["grid_volts"]
    if "drive_volts_rms" in v:
        drive = v["drive_volts_rms"] * 2**0.5 / point.tubes
    elif "drive_peak_volts" in v:
        drive = v["drive_peak_volts"] / point.tubes
    return Drive(plate, v["grid_volts"], screen, v.get("screen_series_ohms", 0.0), drive, load, pair)


def full_drive(d: Drive, p: PentodeParameters) -> FullDrive:
    """Plate and screen amps, watts and distortion at full drive. The screen resistor drops the mean screen current (it is bypassed)."""
    phase = (np.arange(PHASES) + 0.5) * np.pi / PHASES
    swing = d.drive_peak_volts * np.cos(phase)
    screen_volts = d.screen_supply_volts
    result = FullDrive(0.0, 0.0, 0.0, 0.0)
    for _ in range(60 if d.screen_series_ohms else 1):
        result = _at_screen(d, p, swing, screen_volts, phase)
        excess = screen_volts - d.screen_supply_volts + d.screen_series_ohms * result.screen_amps
        if abs(excess) < 1e-7:
            break
        # the mean screen current goes about as the 1.5th power of the screen volts
        screen_volts -= excess / (1.0 + 1.5 * d.screen_series_ohms * result.screen_amps / screen_volts)
    return result


def _at_screen(d: Drive, p: PentodeParameters, swing: Floats, screen_volts: float, phase: Floats) -> FullDrive:
    plate = _pair(d, p, swing, screen_volts) if d.pair else _single(d, p, swing, screen_volts)
    one = pentode_currents(d.grid_volts + swing, plate, np.full(PHASES, screen_volts), p)
    tubes = 2 if d.pair else 1
    # over a whole cycle the second tube of a pair goes through what the first did half a cycle before
    volts = 2.0 * (d.plate_volts - plate) if d.pair else d.plate_volts - plate
    lines = [2.0 / PHASES * float(np.sum(volts * np.cos(k * phase))) for k in range(1, 10)]
    distortion = 100.0 * sum(x * x for x in lines[1:]) ** 0.5 / abs(lines[0])
    watts = lines[0] ** 2 / (2.0 * d.load_ohms)
    return FullDrive(tubes * float(np.mean(one.plate)), tubes * float(np.mean(one.screen)), watts, distortion)


def _pair(d: Drive, p: PentodeParameters, swing: Floats, screen_volts: float) -> Floats:
    """Plate volts of one tube of a pair: v - Va + (Raa/4)(i1(v) - i2(2 Va - v)) = 0, rising in v."""
    screen = np.full(PHASES, screen_volts)

    def excess(v: Floats) -> tuple[Floats, Floats]:
        one = pentode_currents(d.grid_volts + swing, v, screen, p)
        other = pentode_currents(d.grid_volts - swing, 2.0 * d.plate_volts - v, screen, p)
        quarter = 0.25 * d.load_ohms
        value = v - d.plate_volts + quarter * (one.plate - other.plate)
        return value, 1.0 + quarter * (one.plate_by_plate + other.plate_by_plate)

    return _root(excess, np.zeros(PHASES), np.full(PHASES, 2.0 * d.plate_volts))


def _single(d: Drive, p: PentodeParameters, swing: Floats, screen_volts: float) -> Floats:
    """Plate volts of a single tube: v = Va - R (i(v) - mean i). The mean, which places the load line, is found by Newton as well."""
    screen = np.full(PHASES, screen_volts)
    mean = float(pentode_currents(np.array(d.grid_volts), np.array(d.plate_volts), np.array(screen_volts), p).plate[0])
    plate = np.full(PHASES, d.plate_volts)
    for _ in range(30):

        def excess(v: Floats, mean: float = mean) -> tuple[Floats, Floats]:
            found = pentode_currents(d.grid_volts + swing, v, screen, p)
            return v - d.plate_volts + d.load_ohms * (found.plate - mean), 1.0 + d.load_ohms * found.plate_by_plate

        plate = _root(excess, np.zeros(PHASES), np.full(PHASES, d.plate_volts + d.load_ohms * mean))
        found = pentode_currents(d.grid_volts + swing, plate, screen, p)
        # moving the load line by one ampere moves v by R/(1 + R g), and the current by g times that
        follow = d.load_ohms * found.plate_by_plate / (1.0 + d.load_ohms * found.plate_by_plate)
        step = float(np.mean(found.plate) - mean) / (1.0 - float(np.mean(follow)))
        mean += step
        if abs(step) < 1e-12:
            break
    return plate


def _root(excess: Callable[[Floats], tuple[Floats, Floats]], low: Floats, high: Floats) -> Floats:
    """The root of a rising function in each bracket: Newton, with a bisection step where Newton would leave the bracket.

    Started at the low end: plate current is concave in plate volts, so that Newton from the left approaches without overshoot.
    """
    v = low + 1e-3
    for _ in range(100):
        value, slope = excess(v)
        low, high = np.where(value < 0.0, v, low), np.where(value < 0.0, high, v)
        step = value / slope
        new = v - step
        outside = (new < low) | (new > high)
        new = np.where(outside, 0.5 * (low + high), new)
        if np.all(np.abs(new - v) <= 1e-10 * (1.0 + np.abs(v))):
            return new
        v = new
    return v
