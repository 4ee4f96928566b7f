"""Fits a law to what a builder read off a data sheet, with the functions that made the built-in models, and says what it is worth.

A reading off a printed curve is good to about 1 % of the axis and 3 % of itself (own estimate); the fit weighs it so. How far it is off is
given in percent of itself, or of 5 % of the largest reading where it is smaller: near cut-off a percent of nothing says nothing.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from ..diagnostics import Diagnostic, Help, Label, Severity, Span
from ..parts.fit_faults import PAGES
from ..parts.fit_file import FitFile, ratings_of
from ..parts.model import Section
from ..records import record
from .fit import PRIORS, CurvePoint, Fit, Miss, curve_amps, fit_pentode, fit_triode
from .published import Row, resting_row

AXIS_SHARE, READING_SHARE = 0.01, 0.03
"""Width of a reading: of the largest one of its current, and of itself, added as squares (own estimate)."""

FLOOR = 0.05
POOR_PERCENT = 10.0
APART_PERCENT, APART_TIMES = 15.0, 5.0
"""A reading stands apart when it is off by this much and by so many times the usual miss."""

REACH = 0.8
"""Readings up to this share of a rating cover it: amps seldom run a tube at more."""

CUT_OFF_SHARE = 0.1
"""The least reading must be below this share of the largest for cut-off to be covered."""

PLAUSIBLE_MU = (1.5, 200.0)
"""Amplification factors of receiving tubes, of a pentode that of the screen: about 2 to 140 (from memory), with some room."""

MUS = {"triode": (8.0, 14.0, 20.0, 35.0, 50.0, 70.0, 100.0), "pentode": (4.0, 7.0, 10.0, 14.0, 19.0, 27.0, 36.0)}
"""Where a fit begins: the one of these that comes nearest, with the current scaled to the readings."""


@record
class Range:
    """What the numbers cover: volts to the cathode, plate amps."""

    plate_volts: tuple[float, float]
    grid_volts: tuple[float, float]
    plate_amps: tuple[float, float]
    text: str


@record
class OwnFit:
    """A fit with what is to be said of it. off_percent: of each of the fit's misses; rms_percent: of those the fit used."""

    fit: Fit
    off_percent: tuple[float, ...]
    rms_percent: float
    covered: Range


def fit_own(file: FitFile) -> tuple[OwnFit | None, tuple[Diagnostic, ...]]:
    """The law through the readings and points of a file, and what is doubtful about it. None when a point says too little."""
    rows = [resting_row(point) for point in file.points]
    lost = [span for span, row in zip(file.point_spans, rows, strict=True) if row is None]
    if lost:
        cure = "give plate_volts, plate_milliamps and grid_volts, or cathode_ohms with both currents"
        return None, tuple(_said("FIT-001", Severity.ERROR, "the point says too little to be used", span, cure) for span in lost)
    curve = _weighted(file)
    told = [row for row in rows if row is not None]
    choices = {
        "law": file.law,
        "fixed": dict(file.fixed),
        "slope_row": next((i for i, row in enumerate(told) if row.plate_ohms), 0),
    }
    section = Section(name=file.section, kind=file.law, pins={}, model=None, points=file.points)
    fitted = (fit_triode if file.law == "triode" else fit_pentode)(file.name, choices, section, _start(file, curve, told), curve)
    off = _off(fitted.misses)
    used = [x for x, miss in zip(off, fitted.misses, strict=True) if miss.used]
    rms = math.sqrt(sum(x * x for x in used) / len(used)) if used else 0.0
    own = OwnFit(fitted, off, rms, _covered(file, told))
    return own, _doubts(file, own)


def _weighted(file: FitFile) -> list[CurvePoint]:
    largest = {which: max((r.amps for r in file.readings if r.current == which), default=0.0) for which in ("plate", "screen")}
    return [
        CurvePoint(
            r.plate_volts,
            r.grid_volts,
            r.screen_volts,
            r.amps,
            r.current,
            math.hypot(AXIS_SHARE * largest[r.current], READING_SHARE * r.amps) or 1e-6,
            r.source or file.source,
        )
        for r in file.readings
    ]


def _start(file: FitFile, curve: Sequence[CurvePoint], rows: Sequence[Row]) -> dict[str, float]:
    """Parameters to begin from: the amplification factor that comes nearest, currents scaled."""
    all_points = [*curve]
    for row in rows:
        screen = None if file.law == "triode" else row.plate_volts if row.triode else row.screen_volts
        if file.law == "triode" or (screen is not None and not row.triode):
            all_points.append(CurvePoint(row.plate_volts, row.grid_volts, screen, row.plate_amps, "plate", 0.03 * row.plate_amps, ""))
            if row.screen_amps:
                all_points.append(CurvePoint(row.plate_volts, row.grid_volts, screen, row.screen_amps, "screen", 0.1 * row.screen_amps, ""))
    base = (
        {name: pair[0] for name, pair in PRIORS[file.law].items()} | {"kg1": 1000.0, "kg2": 5000.0, "slope_volts": 250.0} | dict(file.fixed)
    )
    best: tuple[float, dict[str, float]] | None = None
    for mu in MUS[file.law]:
        p = {**base, "mu": mu, **file.fixed}
        for which, key in (("plate", "kg1"), ("screen", "kg2")):
            some = [c for c in all_points if c.current == which and c.amps > 0.0]
            logs = [math.log(x / c.amps) for x, c in zip(curve_amps(file.law, p, some), some, strict=True) if x > 1e-9]
            if logs and key not in file.fixed:
                p[key] *= math.exp(sum(logs) / len(logs))
        plates = [c for c in all_points if c.current == "plate"]
        cost = sum(((x - c.amps) / c.width) ** 2 for x, c in zip(curve_amps(file.law, p, plates), plates, strict=True))
        if best is None or cost < best[0]:
            best = (cost, p)
    assert best is not None
    wanted = ("mu", "kg1") if file.law == "triode" else ("mu", "kg1", "kg2")
    return {name: best[1][name] for name in wanted}


def _off(misses: Sequence[Miss]) -> tuple[float, ...]:
    """Percent of each miss, of itself or of FLOOR of the largest of its kind."""
    largest: dict[str, float] = {}
    for miss in misses:
        largest[miss.what] = max(largest.get(miss.what, 0.0), miss.published)
    return tuple(100.0 * (m.computed - m.published) / max(m.published, FLOOR * largest[m.what], 1e-12) for m in misses)


def _covered(file: FitFile, rows: Sequence[Row]) -> Range:
    plates = [r for r in file.readings if r.current == "plate"]
    volts = [r.plate_volts for r in file.readings] + [row.plate_volts for row in rows]
    grids = [r.grid_volts for r in file.readings] + [row.grid_volts for row in rows]
    amps = [r.amps for r in plates] + [row.plate_amps for row in rows]
    ranges = ((min(volts), max(volts)), (min(grids), max(grids)), (min(amps), max(amps)))
    said = f"plate {_span(ranges[0], 1)} V, grid {_span(ranges[1], 1)} V, plate current {_span(ranges[2], 1e3)} mA"
    return Range(*ranges, said)


def _span(pair: tuple[float, float], scale: float) -> str:
    low, high = (f"{x * scale:.3g}" for x in pair)
    return low if low == high else f"{low} to {high}"


def _doubts(file: FitFile, own: OwnFit) -> tuple[Diagnostic, ...]:
    """Readings that stand apart, a poor fit, and where it is extrapolated."""
    found: list[Diagnostic] = []
    offs = own.off_percent[len(own.off_percent) - len(file.readings) :]
    usual = sorted(abs(x) for x in offs)[len(offs) // 2] if offs else 0.0
    for reading, off in zip(file.readings, offs, strict=True):
        if abs(off) > max(APART_PERCENT, APART_TIMES * usual):
            message = f"this reading is {abs(off):.0f} % {'below' if off > 0 else 'above'} the curve that the others give"
            found.append(_said("FIT-004", Severity.WARNING, message, reading.span, "look it up again, or take it out"))
    all_of_it = file.at("curves") if file.readings else file.at("points")
    if own.rms_percent > POOR_PERCENT:
        message = f"the law misses the readings by {own.rms_percent:.1f} % rms, limit {POOR_PERCENT:g} %"
        found.append(_said("FIT-003", Severity.WARNING, message, all_of_it, "see whether all readings are of one tube and one condition"))
    mu = own.fit.parameters["mu"]
    if not PLAUSIBLE_MU[0] <= mu <= PLAUSIBLE_MU[1]:
        message = f"the law fits only with an amplification factor of {mu:.3g}: the readings do not show what the grid does"
        found.append(_said("FIT-003", Severity.WARNING, message, all_of_it, "read curves at several grid volts, with their signs"))
    driven = any(miss.what == "output" and miss.used for miss in own.fit.misses)
    for message in _gaps(file, own.covered, driven):
        found.append(_said("FIT-002", Severity.WARNING, message, all_of_it, "read more of the curves there"))
    return tuple(found)


def _gaps(file: FitFile, covered: Range, driven: bool) -> list[str]:
    """Where the law is extrapolated. driven: an output at full drive was fitted, which sweeps the grid from 0 V to cut-off."""
    limits = ratings_of(file)
    gaps = []
    volts, amps = limits.get("plate_volts"), limits.get("cathode_amps")
    if volts and covered.plate_volts[1] < REACH * volts:
        gaps.append(f"the readings end at {covered.plate_volts[1]:g} V on the plate, the rating is {volts:g} V: beyond is extrapolated")
    if covered.grid_volts[1] < 0.0 and not driven:
        gaps.append(f"no reading is at grid 0 V (the least is {covered.grid_volts[1]:g} V): full drive is extrapolated")
    if covered.plate_amps[0] > CUT_OFF_SHARE * covered.plate_amps[1] and not driven:
        low, high = (1e3 * x for x in covered.plate_amps)
        gaps.append(f"the least current is {low:.3g} mA of {high:.3g} mA: towards cut-off it is extrapolated")
    if amps and covered.plate_amps[1] < 0.5 * amps:
        said = f"{1e3 * covered.plate_amps[1]:.3g} mA, the cathode's rating is {1e3 * amps:.3g} mA"
        gaps.append(f"the largest current is {said}: large currents are extrapolated")
    return gaps


def _said(code: str, severity: Severity, message: str, span: Span, cure: str) -> Diagnostic:
    return Diagnostic(code, PAGES[code].rule, severity, message, (Label(span, "", True),), helps=(Help(cure),))


def as_model(own: OwnFit, file: FitFile) -> Mapping[str, object]:
    """The `model:` of a library entry."""
    count = sum(miss.used for miss in own.fit.misses)
    fixed = list(file.fixed)
    return {
        "law": file.law,
        "source": f"own fit to: {file.source}",
        "verdict": f"{own.rms_percent:.1f} % rms over {count} numbers; {own.covered.text}; extrapolated beyond",
        **({"estimated": fixed} if fixed else {}),
        "parameters": dict(own.fit.parameters),
    }
