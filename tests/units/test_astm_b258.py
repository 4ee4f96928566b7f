"""ASTM B258 wire gauges, against checks.md 8.11 and 8.12."""

from __future__ import annotations

import pytest

from humdinger.units import awg_area_mm2, awg_diameter_mm, awg_ohm_per_km, nearest_awg

# Gauge: mm, mm2, ohm per km. checks.md 8.12, derived there; figures as printed, hence the tolerances below. The page says
# 17.241 nohm m, but its 338.6 for gauge 30 comes only from the standard's 1/58 (17.24138): 17.241 gives 338.5499.
TABLE = {
    10: (2.588, 5.261, 3.28),
    12: (2.053, 3.309, 5.21),
    14: (1.628, 2.081, 8.29),
    16: (1.291, 1.309, 13.17),
    18: (1.024, 0.823, 20.95),
    20: (0.812, 0.518, 33.3),
    22: (0.644, 0.326, 53.0),
    24: (0.511, 0.205, 84.2),
    26: (0.405, 0.129, 133.9),
    28: (0.321, 0.081, 212.9),
    30: (0.255, 0.051, 338.6),
}


@pytest.mark.parametrize(("gauge", "row"), TABLE.items())
def test_table(gauge: int, row: tuple[float, float, float]) -> None:
    diameter, area, resistance = row
    # Half a unit of the last figure printed.
    assert awg_diameter_mm(gauge) == pytest.approx(diameter, abs=0.0005)
    assert awg_area_mm2(gauge) == pytest.approx(area, abs=0.0005)
    assert awg_ohm_per_km(gauge) == pytest.approx(resistance, abs=0.05 if resistance > 30 else 0.005)


# Read in a published table (named anabolizantes24 in checks.md 8.12); inch-rounded, so only three figures are asked for.
@pytest.mark.parametrize(("gauge", "diameter"), [(10, 2.5883), (12, 2.0523), (14, 1.6281), (15, 1.4503), (16, 1.2903)])
def test_a_published_table_rounded_to_mils(gauge: int, diameter: float) -> None:
    assert awg_diameter_mm(gauge) == pytest.approx(diameter, abs=0.0127 * 0.1)  # a twentieth of a mil


def test_the_ratio_of_neighbours() -> None:
    # checks.md 8.11: read on Wikipedia's AWG page.
    assert awg_diameter_mm(17) / awg_diameter_mm(18) == pytest.approx(1.1229322, abs=5e-8)


def test_the_two_gauges_that_define_the_scale() -> None:
    # ASTM B258: 36 is 0.005 in, 0000 is 0.46 in.
    assert awg_diameter_mm(36) == pytest.approx(0.127, rel=1e-12)
    assert awg_diameter_mm(-3) == pytest.approx(0.46 * 25.4, rel=1e-12)


def test_nearest_gauge_of_an_area() -> None:
    assert nearest_awg(0.75) == 18
    assert nearest_awg(0.5) == 20


@pytest.mark.parametrize("gauge", [-4, 51])
def test_no_such_gauge(gauge: int) -> None:
    with pytest.raises(ValueError, match="gauge"):
        awg_diameter_mm(gauge)
