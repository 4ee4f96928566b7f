"""Fits the parameters of the device laws to published points, and says how well they came out.

What is fitted to what stands in parts/data/fits/NAME.yaml, written by hand; the points are those of parts/data/tubes plus curve
readings given there. The outcome is parts/data/models/NAME.yaml, written by `model_text` and reproduced by tests/reference/test_fits.py.

All fits are weighted least squares on relative errors. A handful of points does not settle six parameters, so each parameter also has an
expected value with a width (PRIORS, own estimates): it decides only what the points leave open, and makes the answer unique.
`humdinger fit-tube` fits a builder's own readings with the same functions (fit_own.py).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np

from ..parts.library import Library, load
from ..parts.model import OperatingPoint, Section
from ..records import record
from .devices.pentode import PentodeParameters, pentode_currents
from .devices.triode import TriodeParameters, triode_currents
from .least_squares import least_squares
from .published import Drive, FullDrive, Row, drive_condition, full_drive, resting_row

LOGARITHMIC = frozenset({"mu", "kg1", "kg2", "kp", "kvb", "perveance"})
"""Parameters fitted by their logarithm: positive, and their error is a ratio."""

PRIORS: Mapping[str, Mapping[str, tuple[float, float]]] = {
    "triode": {"ex": (1.4, 0.15), "kp": (400.0, 1.0), "kvb": (300.0, 2.0), "vct": (0.5, 0.25)},
    "pentode": {"ex": (1.35, 0.1), "kp": (45.0, 0.7), "kvb": (18.0, 0.5), "slope": (3e-4, 3e-4), "beta": (0.5, 0.5)},
}
"""Expected value and width of each parameter; the width of a LOGARITHMIC one is in natural logarithm. mu is expected at the sheet's."""

MU_WIDTH = 0.1
WIDTHS: Mapping[str, float] = {
    "current": 0.03, "transconductance": 0.05, "plate_ohms": 0.05, "power": 0.05, "screen": 0.1, "screen_full": 0.1,
}  # fmt: skip
"""How far off, as a ratio, a point may be before it pulls hard; a fit's file may say otherwise."""


@record
class CurvePoint:
    """A reading off a curve: volts to the cathode, amps; screen_volts None for a triode, current "plate" or "screen"; width in amps."""

    plate_volts: float
    grid_volts: float
    screen_volts: float | None
    amps: float
    current: str
    width: float
    source: str

    @property
    def where(self) -> str:
        """The condition in words."""
        screen = "" if self.screen_volts is None else f"screen {self.screen_volts:g} V, "
        return f"{self.plate_volts:g} V, {screen}grid {self.grid_volts:g} V"


@record
class Miss:
    """What a model makes of one published figure. what: "plate current", "screen current at full drive"; where: the condition in words."""

    what: str
    where: str
    published: float
    computed: float
    used: bool
    source: str

    @property
    def percent(self) -> float:
        """Computed over published, minus one, in percent."""
        return 100.0 * (self.computed / self.published - 1.0)


@record
class Fit:
    """An outcome: parameters and what they miss, used and unused points alike. rms_percent: of the used points."""

    name: str
    law: str
    parameters: Mapping[str, float]
    misses: tuple[Miss, ...]
    choices: Mapping[str, Any]

    @property
    def rms_percent(self) -> float:
        """Root mean square miss of the points the fit used."""
        used = [m.percent for m in self.misses if m.used]
        return math.sqrt(sum(x * x for x in used) / len(used)) if used else 0.0


def fit_names() -> tuple[str, ...]:
    """The names of all fits, which are the names of all models of the library."""
    from ..parts.folder import DATA

    return tuple(sorted(path.stem for path in (DATA / "fits").glob("*.yaml")))


def fit_model(name: str, start: Mapping[str, float] | None = None) -> Fit:
    """Fit the model of that name. `start`: parameters to begin from, for a quick confirmation. Raises KeyError for an unknown name."""
    choices = load(f"fits/{name}")
    if choices is None:
        raise KeyError(name)
    section = _section(choices)
    if choices["law"] == "triode":
        return fit_triode(name, choices, section, start, _curve(choices))
    if choices["law"] == "pentode":
        return fit_pentode(name, choices, section, start)
    return _fit_rectifier(name, choices, section)


def _section(choices: Mapping[str, Any]) -> Section:
    tube = Library().tube(str(choices["tube"]))
    section = tube.section(choices.get("section", "")) if tube else None
    if section is None:
        raise KeyError(f"{choices['tube']} {choices.get('section', '')}")
    return section


# ------------------------------------------------------------------ least squares


def _solve(
    free: Sequence[str],
    start: Mapping[str, float],
    priors: Mapping[str, tuple[float, float]],
    data: Callable[[Mapping[str, float]], list[float]],
) -> dict[str, float]:
    """Least squares over the free parameters; `data` gives weighted residuals at a full parameter set."""

    def unpack(x: Sequence[float]) -> dict[str, float]:
        return {**start, **{n: math.exp(v) if n in LOGARITHMIC else float(v) for n, v in zip(free, x, strict=True)}}

    def residuals(x: Sequence[float]) -> list[float]:
        p = unpack(x)
        found = data(p)
        for name in free:
            if name in priors:
                expected, width = priors[name]
                found.append((math.log(p[name] / expected) if name in LOGARITHMIC else p[name] - expected) / width)
        return found

    first = [math.log(start[n]) if n in LOGARITHMIC else start[n] for n in free]
    low = [-np.inf if n in LOGARITHMIC or n == "vct" else 0.0 for n in free]
    scale = [1.0 if n in LOGARITHMIC else priors.get(n, (0.0, 1.0))[1] for n in free]
    return unpack(least_squares(residuals, first, low, scale).x)


def _ratio(computed: float, published: float, width: float) -> float:
    return math.log(max(computed, 1e-12) / published) / width


def _widths(choices: Mapping[str, Any]) -> dict[str, float]:
    return {**WIDTHS, **choices.get("widths", {})}


def _priors(choices: Mapping[str, Any], points: Sequence[OperatingPoint], key: str) -> dict[str, tuple[float, float]]:
    found = dict(PRIORS[choices["law"]])
    mus = [p.values[key] for p in points if p.values and key in p.values]
    if mus:
        found["mu"] = (mus[0], MU_WIDTH)
    found.update({name: (float(pair[0]), float(pair[1])) for name, pair in choices.get("expected", {}).items()})
    return found


def _curve(choices: Mapping[str, Any]) -> list[CurvePoint]:
    """The curve readings of a built-in triode: rows of plate volts, grid volts, milliamps."""
    curve = choices.get("curve", {})
    width = float(curve.get("width_milliamps", 0.05)) * 1e-3
    rows = [tuple(map(float, reading)) for reading in curve.get("readings", [])]
    return [CurvePoint(plate, grid, None, amps * 1e-3, "plate", width, curve["source"]) for plate, grid, amps in rows]


def _rows(choices: Mapping[str, Any], section: Section) -> list[tuple[int, OperatingPoint, Row, bool]]:
    """Published points as rows, with their index in the tube file and whether the fit uses them."""
    left_out = choices.get("leave_out", {})
    found = []
    for index, point in enumerate(section.points):
        row = resting_row(point)
        if row is not None:
            found.append((index, point, row, index not in left_out))
    return found


# ------------------------------------------------------------------ curves


def curve_amps(law: str, parameters: Mapping[str, float], curve: Sequence[CurvePoint]) -> list[float]:
    """What a model makes of each reading."""
    if not curve:
        return []
    grid, plate = np.array([c.grid_volts for c in curve]), np.array([c.plate_volts for c in curve])
    if law == "triode":
        return triode_currents(grid, plate, TriodeParameters.stack([parameters])).plate.tolist()
    found = pentode_currents(grid, plate, np.array([c.screen_volts for c in curve]), PentodeParameters.stack([parameters]))
    return np.where([c.current == "screen" for c in curve], found.screen, found.plate).tolist()


def curve_residuals(law: str, parameters: Mapping[str, float], curve: Sequence[CurvePoint]) -> list[float]:
    """By how many widths a model is off each reading."""
    return [(amps - c.amps) / c.width for amps, c in zip(curve_amps(law, parameters, curve), curve, strict=True)]


def curve_misses(law: str, parameters: Mapping[str, float], curve: Sequence[CurvePoint]) -> list[Miss]:
    """The readings beside what a model makes of them."""
    found = zip(curve_amps(law, parameters, curve), curve, strict=True)
    return [Miss("screen curve" if c.current == "screen" else "curve", c.where, c.amps, amps, True, c.source) for amps, c in found]


# ------------------------------------------------------------------ triodes


def triode_at(parameters: Mapping[str, float], grid_volts: float, plate_volts: float) -> tuple[float, float, float]:
    """Plate amps, transconductance and plate resistance of a triode model."""
    found = triode_currents(np.array([grid_volts]), np.array([plate_volts]), TriodeParameters.stack([parameters]))
    return float(found.plate[0]), float(found.plate_by_grid[0]), 1.0 / float(found.plate_by_plate[0])


def fit_triode(
    name: str, choices: Mapping[str, Any], section: Section, start: Mapping[str, float] | None = None, curve: Sequence[CurvePoint] = ()
) -> Fit:
    """The triode law through the points of a section and readings off its curves."""
    rows, widths = _rows(choices, section), _widths(choices)
    priors = _priors(choices, [p for _, p, _, used in rows if used], "mu")

    def data(p: Mapping[str, float]) -> list[float]:
        found = []
        for _, _, row, used in rows:
            if not used:
                continue
            amps, gm, rp = triode_at(p, row.grid_volts, row.plate_volts)
            found.append(_ratio(amps, row.plate_amps, widths["current"]))
            if row.transconductance:
                found.append(_ratio(gm, row.transconductance, widths["transconductance"]))
            if row.plate_ohms:
                found.append(_ratio(rp, row.plate_ohms, widths["plate_ohms"]))
        return found + curve_residuals("triode", p, curve)

    order = ("mu", "ex", "kg1", "kp", "kvb", "vct")
    fixed = {n: float(v) for n, v in choices.get("fixed", {}).items()}
    first = {n: pair[0] for n, pair in priors.items()} | {"kg1": 1000.0} | dict(start or {}) | fixed
    solved = _solve([n for n in order if n not in fixed], first, priors, data)
    parameters = _rounded({n: solved[n] for n in order})
    misses = []
    for _, point, row, used in rows:
        where = f"{row.plate_volts:g} V, grid {row.grid_volts:g} V"
        amps, gm, rp = triode_at(parameters, row.grid_volts, row.plate_volts)
        misses.append(Miss("plate current", where, row.plate_amps, amps, used, _source(point, "plate_amps")))
        if row.transconductance:
            misses.append(Miss("transconductance", where, row.transconductance, gm, used, _source(point, "transconductance")))
        if row.plate_ohms:
            misses.append(Miss("plate resistance", where, row.plate_ohms, rp, used, _source(point, "plate_ohms")))
    return Fit(name, "triode", parameters, (*misses, *curve_misses("triode", parameters, curve)), choices)


# ------------------------------------------------------------------ pentodes and beam tetrodes


def pentode_at(parameters: Mapping[str, float], row: Row) -> tuple[float, float, float, float]:
    """Plate amps, screen amps, transconductance and plate resistance at a row; triode-connected: both currents together, screen amps 0."""
    screen = row.plate_volts if row.triode else row.screen_volts or 0.0
    p = PentodeParameters.stack([parameters])
    c = pentode_currents(np.array([row.grid_volts]), np.array([row.plate_volts]), np.array([screen]), p)
    if row.triode:
        slope = c.plate_by_plate + c.plate_by_screen + c.screen_by_plate + c.screen_by_screen
        return float((c.plate + c.screen)[0]), 0.0, float((c.plate_by_grid + c.screen_by_grid)[0]), 1.0 / float(slope[0])
    return float(c.plate[0]), float(c.screen[0]), float(c.plate_by_grid[0]), 1.0 / float(c.plate_by_plate[0])


def fit_pentode(
    name: str, choices: Mapping[str, Any], section: Section, start: Mapping[str, float] | None = None, curve: Sequence[CurvePoint] = ()
) -> Fit:
    """The pentode law through the points of a section and readings off its curves."""
    rows, widths = _rows(choices, section), _widths(choices)
    used = [(i, p, r) for i, p, r, u in rows if u]
    drives = [(i, point, d) for i, point, _, u in rows if u and (d := drive_condition(point)) is not None]
    drives = [x for x in drives if x[0] not in choices.get("leave_out_full_drive", {})]
    priors = _priors(choices, [p for _, p, _ in used], "mu_screen")
    row_widths = {int(k): float(v) for k, v in choices.get("row_widths", {}).items()}
    slope_row = int(choices.get("slope_row", 0))

    def data(p: Mapping[str, float]) -> list[float]:
        found = []
        for index, _, row in used:
            width = row_widths.get(index, widths["current"])
            amps, screen, gm, rp = pentode_at(p, row)
            found.append(_ratio(amps, row.plate_amps, width))
            if row.transconductance:
                found.append(_ratio(gm, row.transconductance, widths["transconductance"]))
            if row.plate_ohms and (index == slope_row or row.triode):
                found.append(_ratio(rp, row.plate_ohms, widths["plate_ohms"]))
            if row.screen_amps:
                found.append(_ratio(screen, row.screen_amps, widths["screen"] * width / widths["current"]))
        stacked = PentodeParameters.stack([p])
        for _, point, drive in drives:
            values = point.values or {}
            full = full_drive(drive, stacked)
            if "output_watts" in values:
                found.append(_ratio(full.output_watts, values["output_watts"], widths["power"]))
            if "screen_amps_max_signal" in values:
                found.append(_ratio(full.screen_amps, values["screen_amps_max_signal"], widths["screen_full"]))
        return found + curve_residuals("pentode", p, curve)

    fixed = {k: float(v) for k, v in choices.get("fixed", {}).items()}
    given = (r.plate_volts for i, _, r in used if i == slope_row)
    slope_volts = next(given) if not curve else float(np.median([c.plate_volts for c in curve]))
    first = {n: pair[0] for n, pair in priors.items()} | {"kg1": 1000.0, "kg2": 5000.0, "slope_volts": slope_volts}
    first = {"mu": 10.0} | first | dict(start or {}) | fixed
    free = [n for n in ("mu", "ex", "kg1", "kp", "kvb", "slope", "kg2", "beta") if n not in fixed]
    parameters = _rounded(_solve(free, first, priors, data))
    order = ("mu", "ex", "kg1", "kg2", "kp", "kvb", "beta", "slope", "slope_volts")
    ordered = {n: parameters[n] for n in order}
    misses = (*_pentode_misses(ordered, rows, drives, slope_row), *curve_misses("pentode", ordered, curve))
    return Fit(name, "pentode", ordered, misses, choices)


def _pentode_misses(
    p: Mapping[str, float],
    rows: Sequence[tuple[int, OperatingPoint, Row, bool]],
    drives: Sequence[tuple[int, OperatingPoint, Drive]],
    slope_row: int,
) -> tuple[Miss, ...]:
    misses = []
    for index, point, row, used in rows:
        where = (
            f"{row.plate_volts:.4g} V, "
            + ("triode-connected" if row.triode else f"screen {row.screen_volts:.4g} V")
            + f", grid {row.grid_volts:.3g} V"
        )
        amps, screen, gm, rp = pentode_at(p, row)
        misses.append(Miss("plate current", where, row.plate_amps, amps, used, _source(point, "plate_amps")))
        if row.screen_amps:
            misses.append(Miss("screen current", where, row.screen_amps, screen, used, _source(point, "screen_amps")))
        if row.transconductance:
            misses.append(Miss("transconductance", where, row.transconductance, gm, used, _source(point, "transconductance")))
        if row.plate_ohms:
            fitted = used and (index == slope_row or row.triode)
            misses.append(Miss("plate resistance", where, row.plate_ohms, rp, fitted, _source(point, "plate_ohms")))
    fitted_drives = {i for i, _, _ in drives}
    stacked = PentodeParameters.stack([p])
    for index, point, _row, _ in rows:
        drive = drive_condition(point)
        if drive is None:
            continue
        full = full_drive(drive, stacked)
        kind = "pair" if drive.pair else "one tube"
        volts = f"{drive.plate_volts:g} V, screen {drive.screen_supply_volts:g} V, grid {drive.grid_volts:g} V"
        where = f"{kind}, {volts}, drive {drive.drive_peak_volts:.3g} V peak"
        misses += _drive_misses(point, full, where, index in fitted_drives)
    return tuple(misses)


def _drive_misses(point: OperatingPoint, full: FullDrive, where: str, used: bool) -> list[Miss]:
    figures = (
        ("output", "output_watts", full.output_watts, used),
        ("plate current at full drive", "plate_amps_max_signal", full.plate_amps, False),
        ("screen current at full drive", "screen_amps_max_signal", full.screen_amps, used),
    )
    values = point.values or {}
    return [
        Miss(what, where, values[key], computed, fitted, _source(point, key)) for what, key, computed, fitted in figures if key in values
    ]


# ------------------------------------------------------------------ rectifiers


def _fit_rectifier(name: str, choices: Mapping[str, Any], section: Section) -> Fit:
    """Perveance: I = K V^1.5 through the published drops; where there is none, to the direct volts of the typical operation."""
    left_out = choices.get("leave_out", {})
    drops = [(i, p) for i, p in enumerate(section.points) if p.kind == "drop"]
    used = [p.values or {} for i, p in drops if i not in left_out]
    if used:
        logs = [math.log(v["plate_amps"] / v["plate_drop_volts"] ** 1.5) for v in used]
        perveance = math.exp(sum(logs) / len(logs))
    else:
        perveance = _perveance_from_volts([p for i, p in enumerate(section.points) if p.kind == "capacitor input" and i not in left_out])
    parameters = _rounded({"perveance": perveance})
    misses = []
    for i, point in drops:
        v = point.values or {}
        drop = (v["plate_amps"] / parameters["perveance"]) ** (2.0 / 3.0)
        misses.append(Miss("drop", f"{v['plate_amps']:g} A a plate", v["plate_drop_volts"], drop, i not in left_out, point.source))
    for i, point in enumerate(section.points):
        if point.kind == "capacitor input":
            v = point.values or {}
            where = f"{v['plate_volts_rms']:g} V rms a plate, {v['source_ohms']:g} Ω, {v['dc_amps']:g} A"
            volts = capacitor_input_volts(parameters["perveance"], point)
            misses.append(Miss("direct volts", where, v["dc_volts"], volts, not used and i not in left_out, _source(point, "dc_volts")))
    return Fit(name, "rectifier", parameters, tuple(misses), choices)


def capacitor_input_volts(perveance: float, point: OperatingPoint) -> float:
    """Direct volts of a full-wave capacitor-input rectifier at a published direct current, by the averaged law."""
    from .devices.averaged import averaged_current
    from .devices.rectifier_tube import RectifierTubeParameters, rectifier_tube_current

    v = point.values or {}
    port = RectifierTubeParameters(np.array(perveance), np.array(v["source_ohms"]))
    peak, pulses = np.array(v["plate_volts_rms"] * math.sqrt(2.0)), np.array(2.0)
    low, high = 0.0, float(peak)
    for _ in range(60):
        middle = 0.5 * (low + high)
        amps, _ = averaged_current(np.array(middle), peak, pulses, lambda x: rectifier_tube_current(x, port))
        low, high = (middle, high) if float(amps) > v["dc_amps"] else (low, middle)
    return 0.5 * (low + high)


def _perveance_from_volts(points: Sequence[OperatingPoint]) -> float:
    logs = []
    for point in points:
        low, high = math.log(1e-5), math.log(1e-1)
        for _ in range(60):
            middle = 0.5 * (low + high)
            below = capacitor_input_volts(math.exp(middle), point) < (point.values or {})["dc_volts"]
            low, high = (middle, high) if below else (low, middle)
        logs.append(0.5 * (low + high))
    return math.exp(sum(logs) / len(logs))


# ------------------------------------------------------------------ the outcome as a file


def _source(point: OperatingPoint, key: str) -> str:
    return (point.sources or {}).get(key, point.source)


def _rounded(parameters: Mapping[str, float]) -> dict[str, float]:
    return {name: float(f"{value:.6g}") for name, value in parameters.items()}


def model_text(fit: Fit) -> str:
    """The file parts/data/models/NAME.yaml: parameters first, then every published figure beside what the model makes of it."""
    estimated = ", ".join(fit.choices.get("fixed", {}))
    lines = [
        f"# Written by analysis/fit.py from ../fits/{fit.name}.yaml and ../tubes; do not edit (tests/reference/refit.py writes it anew).",
        f"law: {fit.law}",
        "source: own-fit",
        f"verdict: {_quoted(' '.join(str(fit.choices.get('verdict', '')).split()))}",
        *([f"estimated: [{estimated}]"] if estimated else []),
        "parameters: {" + ", ".join(f"{name}: {_number(value)}" for name, value in fit.parameters.items()) + "}",
        f"rms_percent: {fit.rms_percent:.1f}",
        "figures:       # SI units; used: whether the fit was made to it, else it is a check",
    ]
    for m in fit.misses:
        row = f"published: {_number(m.published)}, computed: {_number(m.computed, 4)}, percent: {m.percent:.1f}"
        used = "true" if m.used else "false"
        lines.append(f"  - {{what: {m.what}, where: {_quoted(m.where)}, {row}, used: {used}, source: {m.source}}}")
    return "\n".join(lines) + "\n"


def _number(value: float, digits: int = 6) -> str:
    rounded = float(f"{value:.{digits}g}")
    return f"{rounded:.12g}"


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
