"""Every model of the library is reproduced from its published points, and held against all of them.

The points are those of parts/data/tubes (each with its source; most are from memory of the handbooks) and the curve readings of
parts/data/fits. A fit is the library's own; the numbers of nobody's published parameter set are used.
"""

from __future__ import annotations

from typing import Any

import pytest

from humdinger.analysis.devices.pentode import PentodeParameters
from humdinger.analysis.fit import Fit, fit_model, fit_names, pentode_at
from humdinger.analysis.published import Drive, Row, full_drive, resting_row
from humdinger.parts.library import Library, load_yaml

LIMITS = {
    "plate current": 5.0,
    "transconductance": 7.0,
    "plate resistance": 10.0,
    "screen current": 15.0,
    "curve": 7.0,
    "output": 7.0,
    "plate current at full drive": 7.0,
    "screen current at full drive": 15.0,
    "drop": 1.0,
    "direct volts": 3.0,
}
"""Percent a model may be off a published figure. A new tube may be 20 % off its own sheet in plate current and 30 % in screen current
(common practice), so a model within these is no worse than the next tube out of the box. Direct volts:
simulation against remembered sheets."""

EXCEPTIONS: dict[tuple[str, str, str], tuple[float, str]] = {
    ("12AT7", "plate current", "100 V, grid -1 V"): (20.0, "two sheets give 3.0 and 3.7 mA; the fit keeps to the second"),
    ("12AT7", "transconductance", "100 V, grid -1 V"): (11.0, "the same two sheets"),
    ("5Y3GT", "drop", "0.125 A a plate"): (17.0, "two editions give 50 and 60 V; typical operation speaks for 50 V"),
    ("GZ34", "drop", "0.25 A a plate"): (8.0, "two editions give 17 V at 225 and at 250 mA"),
    ("6AQ5", "screen current", "250 V, screen 250 V, grid -15 V"): (22.0, "the sheet's share of the screen halves within 2.5 V of bias"),
    ("6AQ5", "plate resistance", "250 V, screen 250 V, grid -15 V"): (13.0, "one slope for all points"),
    ("6BM8-p", "plate resistance", "100 V, screen 100 V, grid -6 V"): (31.0, "one slope for all points"),
    ("6L6GC", "plate resistance", "300 V, screen 200 V, grid -12.5 V"): (11.0, "one slope for all points"),
    ("6L6GC", "plate resistance", "350 V, screen 250 V, grid -18 V"): (17.0, "one slope for all points"),
    ("6L6GC", "plate current", "250 V, triode-connected, grid -20 V"): (7.0, "screen and plate both at 250 V, all from memory"),
    ("6L6GC", "screen current", "350 V, screen 250 V, grid -18 V"): (17.0, "the screen law knows the plate only through its knee"),
    ("6L6GC", "screen current", "270 V, screen 270 V, grid -17.5 V"): (25.0, "8 % of the plate current here, 5 % at 360 V: same reason"),
    ("6L6GC", "screen current at full drive", "one tube, 300 V, screen 200 V, grid -12.5 V, drive 12.5 V peak"): (19.0, "same reason"),
    ("6L6GC", "screen current at full drive", "pair, 360 V, screen 270 V, grid -22.5 V, drive 22.5 V peak"): (16.0, "same reason"),
    ("6V6GT", "screen current", "250 V, screen 250 V, grid -12.5 V"): (23.0, "10 % of the plate current here, 6 % at 285 V: same reason"),
    ("6V6GT", "screen current", "285 V, screen 285 V, grid -19 V"): (30.0, "the other end of the same"),
    ("6V6GT", "screen current at full drive", "one tube, 180 V, screen 180 V, grid -8.5 V, drive 8.5 V peak"): (17.0, "same reason"),
    ("6V6GT", "transconductance", "250 V, screen 250 V, grid -12.5 V"): (7.5, "five points and a triode connection share one exponent"),
    ("6V6GT", "plate resistance", "180 V, screen 180 V, grid -8.5 V"): (15.0, "one slope for all points; the figure is rounded"),
    ("EL34", "plate current", "250 V, screen 265 V, grid -13.5 V"): (7.0, "class A and nearly cut-off class B do not fit one exponent"),
    ("EL34", "screen current at full drive", "pair, 425 V, screen 425 V, grid -38 V, drive 38 V peak"): (16.0, "from memory"),
    ("EL34", "output", "pair, 775 V, screen 400 V, grid -39 V, drive 39 V peak"): (13.0, "the screen resistor is taken as bypassed"),
    ("EL84", "plate current", "289.6 V, screen 289.6 V, grid -10.4 V"): (10.0, "hot and cold points do not fit one exponent"),
    ("EL84", "plate current", "241 V, screen 241 V, grid -8.97 V"): (10.0, "the same from the other side"),
    ("KT88", "screen current", "250 V, screen 250 V, grid -15 V"): (165.0, "sheets say 3 and 19 mA; unknown"),
    ("KT88", "screen current", "553 V, screen 300 V, grid -34 V"): (18.0, "from memory"),
    ("KT88", "screen current", "521 V, screen 300 V, grid -30.2 V"): (24.0, "from memory with low confidence, not used"),
    ("KT88", "plate current", "521 V, screen 300 V, grid -30.2 V"): (31.0, "from memory with low confidence, contradicts the row above"),
}
"""Figures outside their limit: (model, figure, condition) -> the percent it is held to, and who is right or why it cannot be known."""


@pytest.fixture(scope="module", params=fit_names())
def fit(request: pytest.FixtureRequest) -> Fit:
    """A fit done from scratch."""
    return fit_model(request.param)


def stored(name: str) -> dict[str, Any]:
    """The model file as it is shipped."""
    return load_yaml(f"models/{name}")


def test_the_shipped_model_is_what_its_points_give(fit: Fit) -> None:
    """Computed currents within 0.5 %: parameters that trade against each other may move a little more with the processor's arithmetic."""
    figures = stored(fit.name)["figures"]
    assert [(f["what"], f["where"], f["used"], f["source"]) for f in figures] == [(m.what, m.where, m.used, m.source) for m in fit.misses]
    for figure, miss in zip(figures, fit.misses, strict=True):
        assert figure["published"] == pytest.approx(miss.published, rel=1e-5)
        assert figure["computed"] == pytest.approx(miss.computed, rel=5e-3), (miss.what, miss.where)


def test_the_verdict_is_that_of_the_fit(fit: Fit) -> None:
    assert stored(fit.name)["verdict"] == " ".join(fit.choices["verdict"].split())


def test_a_model_stays_near_its_published_figures(fit: Fit) -> None:
    for miss in fit.misses:
        limit, _ = EXCEPTIONS.get((fit.name, miss.what, miss.where), (LIMITS[miss.what], ""))
        assert abs(miss.percent) <= limit, f"{miss.what} at {miss.where}: {miss.percent:+.1f} %, limit {limit} %"


def test_no_exception_is_idle() -> None:
    """An exception whose figure came back within the common limit is taken off the list."""
    off = {(n, f["what"], f["where"]): abs(f["percent"]) for n in fit_names() for f in stored(n)["figures"]}
    worst = {key: max(abs(f["percent"]) for f in stored(key[0])["figures"] if (f["what"], f["where"]) == key[1:]) for key in EXCEPTIONS}
    assert set(EXCEPTIONS) <= set(off)
    assert [key for key in EXCEPTIONS if worst[key] <= LIMITS[key[1]]] == []


def test_every_section_of_the_library_has_a_fitted_model() -> None:
    library = Library()
    laws = [(t.name, s.name, s.kind, s.model) for n in library.tube_names() if (t := library.tube(n)) for s in t.sections]
    assert all(model is not None and model.law == kind and model.source == "own-fit" for _, _, kind, model in laws)


def test_screen_current_at_full_drive_of_the_el84() -> None:
    """The knee term against the trial of the engine: EL84, 250 V, 5.2 k, 6.08 V peak, 5.5 mA at rest by kg2 whatever beta is.

    6.1 mA with beta 0, 9.2 with 0.5, 12.4 with 1 (printed to a tenth); the sheet has 10.8 mA, and the fit of the library comes within 5 %.
    """
    p = {"mu": 19.4102, "ex": 1.2, "kg1": 476.498, "kg2": 1e9, "kp": 285.088, "kvb": 17.9, "slope": 3.73e-4, "slope_volts": 250.0}
    drive = Drive(250.0, -7.3, 250.0, 0.0, 6.08, 5200.0, False)
    rest = Row(250.0, -7.3, 250.0, 0.048, None, None, None, False, "")
    drive_power = pentode_at(p | {"beta": 0.0, "kg2": 1.0}, rest)[1]
    for beta, milliamps in ((0.0, 6.1), (0.5, 9.2), (1.0, 12.4)):
        knee = pentode_at(p | {"beta": beta}, rest)[1]
        found = full_drive(drive, PentodeParameters.stack([p | {"beta": beta, "kg2": drive_power / (5.5e-3 - knee)}]))
        assert found.screen_amps * 1e3 == pytest.approx(milliamps, abs=0.05)
    own = next(f for f in stored("EL84")["figures"] if f["what"] == "screen current at full drive" and "one tube" in f["where"])
    assert own["published"] == 0.0108
    assert abs(own["percent"]) < 5.0


@pytest.mark.parametrize(
    ("parameters", "drive", "watts", "distortion", "milliamps"),
    [
        ((9.44119, 1.41693, 2931.9, 47.2954, 12.7), Drive(250, -12.5, 250, 0, 12.5, 5000, False), 4.71, 8.1, 48.0),
        ((9.44119, 1.41693, 2931.9, 47.2954, 12.7), Drive(285, -19, 285, 0, 19, 8000, True), 14.21, 4.43, 96.46),
        ((9.36049, 1.33103, 1322.61, 34.1023, 26.9), Drive(350, -18, 250, 0, 18, 4200, False), 10.57, 15.06, 63.83),
        ((9.36049, 1.33103, 1322.61, 34.1023, 26.9), Drive(450, -37, 400, 0, 37, 5600, True), 57.16, 4.36, 209.3),
        ((13.0283, 1.62979, 1077.09, 18.7273, 36.5), Drive(553, -34, 300, 0, 34, 4500, True), 103.76, 4.1, 296.94),
    ],
)
def test_full_drive_against_an_independent_simulation(
    parameters: tuple[float, ...], drive: Drive, watts: float, distortion: float, milliamps: float
) -> None:
    """The load-line simulation that the fits lean on, against one written before and apart from it, with the same parameters (no knee
    term, no slope). Agreement is to the last printed digit, so the tolerance is half of it and a little."""
    names = ("mu", "ex", "kg1", "kp", "kvb")
    p = dict(zip(names, parameters, strict=True)) | {"kg2": 1e4, "beta": 0.0, "slope": 0.0, "slope_volts": 0.0}
    found = full_drive(drive, PentodeParameters.stack([p]))
    assert found.output_watts == pytest.approx(watts, abs=0.006)
    assert found.distortion_percent == pytest.approx(distortion, abs=0.06)
    assert found.plate_amps * 1e3 == pytest.approx(milliamps, abs=0.06)


def test_rows_of_pairs_and_cathode_bias_become_one_tube_to_its_cathode() -> None:
    """EL84 pair, 300 V, common 130 ohm, 72 + 8 mA: 10.4 V of bias and 289.6 V left; cathode-bias values of the sheets by Ohm's law."""
    tube = Library().tube("EL84")
    assert tube is not None
    row = resting_row(tube.sections[0].points[2])
    assert row is not None
    assert row.grid_volts == pytest.approx(-10.4)
    assert row.plate_volts == pytest.approx(289.6)
    assert row.screen_volts == pytest.approx(289.6)
    assert row.plate_amps == pytest.approx(0.036)
