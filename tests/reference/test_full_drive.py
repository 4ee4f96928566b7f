"""Direct current of an output pair at full drive, as the fuse rule takes it, against published conditions.

Outside reference: the maximum-signal plate currents of the push-pull conditions in the tube library, each with its source there. The
estimate is 2/pi of the peak of half sines, or the idle current where that is more; a real pair in class AB draws more than that, so the
estimate lies low: by 4 to 12 % in class B and by up to 19 % in class AB. A fuse chosen by it is never too large.
"""

from __future__ import annotations

import math

import pytest

from humdinger.circuit.netlist import PowerTransformer
from humdinger.parts.model import OperatingPoint
from support.amps import demo
from support.front import LIBRARY

LOWEST, HIGHEST = 0.80, 1.0
LOAD = "load_plate_to_plate_ohms"


def published() -> list[tuple[str, OperatingPoint]]:
    wanted = {LOAD, "output_watts", "plate_amps", "plate_amps_max_signal"}
    types = [LIBRARY.tube(name) for name in LIBRARY.tube_names()]
    return [(t.name, p) for t in types if t for s in t.sections for p in s.points if wanted <= set(p.values or {})]


@pytest.mark.parametrize(("name", "point"), published(), ids=lambda x: x if isinstance(x, str) else x.kind)
def test_against_the_published_conditions(name: str, point: OperatingPoint) -> None:
    values = point.values or {}
    peak = math.sqrt(8.0 * values["output_watts"] / values[LOAD])
    estimate = max(2.0 / math.pi * peak, values["plate_amps"])
    assert LOWEST < estimate / values["plate_amps_max_signal"] <= HIGHEST, name


def test_there_are_conditions_to_compare_with() -> None:
    assert len(published()) >= 10


def test_a_pair_takes_the_half_sines_and_a_single_tube_its_idle_current() -> None:
    """Heron: peak from its own clean power through the load; dunlin: class A, the supply gives what it gives at idle."""
    heron, dunlin = demo("heron").results, demo("dunlin").results
    assert heron is not None
    assert heron.load is not None
    assert heron.load.full_drive_dc_amps is not None
    idle = sum(heron.nominal.sections[ref].plate_amps for ref in ("V4", "V5"))
    peak = math.sqrt(8.0 * heron.load.clean_watts / heron.load.load_ohms)
    more = heron.load.full_drive_dc_amps - heron.nominal.rectifiers["high-tension"].dc_amps
    assert more == pytest.approx(2.0 / math.pi * peak - idle, rel=1e-9)
    assert more > 0.05
    assert dunlin is not None
    assert dunlin.load is not None
    assert dunlin.load.full_drive_dc_amps == dunlin.nominal.rectifiers["high-tension"].dc_amps


def test_no_load_volts_and_heater_volts_are_those_of_the_parts() -> None:
    """What the rules on rectifiers and heaters read: the maker's no-load volts, with the mains; a GZ34 wants 5 V, the others 6.3 V."""
    made = demo("heron")
    assert made.results is not None
    assert made.netlist is not None
    rated = next(w.no_load_volts for t in made.netlist.of(PowerTransformer) for w in t.windings if w.name == "HT")
    for condition, mains in {"nominal": 230.0, "high": 253.0, "low": 216.2}.items():
        point = made.results.operating[condition].rectifiers["high-tension"]
        assert point.no_load_volts_rms == pytest.approx((rated or 0.0) * mains / 230.0)
    assert {b.winding: b.tube_volts for b in made.results.heaters} == {"H1": 6.3, "H2": 5.0}
