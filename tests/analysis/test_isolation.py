"""Mains against everything else, centre taps, and what a hand can touch."""

from __future__ import annotations

from dataclasses import replace

import pytest

from humdinger.analysis.contacts import BODY_OHMS, contact_changes, contact_faults, contacts
from humdinger.analysis.isolation import centre_taps, mains_paths
from humdinger.analysis.results import ContactFault
from humdinger.analysis.study import study
from humdinger.analysis.variants import solve_variants
from humdinger.circuit.netlist import Capacitor, Jack, Netlist, Pin
from support.demos import NAMES, demo
from support.netlists import NOWHERE, Bench


@pytest.mark.parametrize("name", NAMES)
def test_the_demos_are_isolated(name: str) -> None:
    netlist = demo(name)
    assert mains_paths(netlist) == ()
    assert all(tap.legal for tap in centre_taps(netlist))


def supply() -> Bench:
    bench = Bench()
    bench.supply("B1", 47e-6)
    bench.resistor("R1", "B1", "0", 220e3)
    return bench


def test_a_resistor_from_the_mains_is_a_path() -> None:
    bench = supply()
    bench.resistor("R2", "mains.N", "0", 1e6)
    (path,) = mains_paths(bench.netlist(input_net=""))
    assert (path.mains_net, path.net, path.refs) == ("mains.N", "0", ("R2",))


def test_a_diode_from_the_mains_is_a_path_to_what_hangs_on_it() -> None:
    bench = supply()
    bench.fuse("F1", "mains.L", "behind")
    bench.domains["behind"] = "mains"
    bench.diode("D9", "behind", "B1")
    (path,) = mains_paths(bench.netlist(input_net=""))
    assert path.net == "B1"
    assert path.refs[-1] == "D9"


@pytest.mark.parametrize(("technology", "paths"), [("class-Y2", 0), ("film", 1)])
def test_only_a_class_y_capacitor_may_bridge(technology: str, paths: int) -> None:
    netlist = supply().netlist(input_net="")
    pins = (Pin("1", "mains.L"), Pin("2", "0"))
    part = Capacitor(ref="C9", path="", stage="", role="", span=NOWHERE, pins=pins, farads=4.7e-9, technology=technology)
    assert len(mains_paths(replace(netlist, parts=(*netlist.parts, part)))) == paths


def tapped(arrangement: str, joint: str, ohms: float | None = None) -> Bench:
    """A centre-tapped winding whose tap reaches `joint`, by a wire or over a resistor."""
    bench = Bench()
    bench.supply("B1", 47e-6, minus="ct")
    if ohms is not None:
        bench.resistor("R1", "ct", joint, ohms)
    elif joint != "ct":
        bench.fuse("F1", "ct", joint)
    found = bench.rectifiers[0]
    minus = "ct" if arrangement == "full-wave" else "0"
    bench.rectifiers = [replace(found, arrangement=arrangement, minus=minus)]
    return bench


@pytest.mark.parametrize(
    ("arrangement", "joint", "ohms", "legal"),
    [
        ("full-wave", "0", None, True),
        ("bridge", "0", None, False),
        ("bridge", "B1", None, False),
        ("bridge", "0", 47.0, False),
        ("bridge", "0", 150e3, True),
    ],
)
def test_a_tap_may_not_join_a_terminal_of_its_bridge(arrangement: str, joint: str, ohms: float | None, legal: bool) -> None:
    (tap,) = centre_taps(tapped(arrangement, joint, ohms).netlist(input_net=""))
    assert tap.legal is legal
    assert tap.net == "ct"


def jacked(path_ohms: float | None, farads: float = 100e-9) -> Netlist:
    """A plate at some 150 V behind a coupling capacitor to a jack."""
    bench = Bench()
    bench.supply("B1", 47e-6)
    bench.triode("V1", "plate", "grid", "cathode")
    bench.resistor("R1", "B1", "plate", 100e3)
    bench.resistor("R2", "cathode", "0", 1.5e3)
    bench.resistor("R3", "grid", "0", 1e6)
    bench.capacitor("C2", "plate", "tip", farads)
    if path_ohms:
        bench.resistor("R4", "tip", "0", path_ohms)
    jack = Jack(
        ref="J1",
        path="",
        stage="",
        role="",
        span=NOWHERE,
        pins=(Pin("tip", "tip"), Pin("sleeve", "0")),
        purpose="footswitch",
        switched=False,
    )
    bench.parts.append(jack)
    return bench.netlist(input_net="")


def faults(netlist: Netlist) -> dict[str, ContactFault]:
    found = study(netlist)
    outside = contacts(found)
    variants = solve_variants(found.solved["high"], contact_changes(found, outside))
    return {row.jack: row for row in contact_faults(found, outside, variants)}


def test_a_shorted_coupling_capacitor_puts_the_plate_on_the_jack() -> None:
    row = faults(jacked(220e3))["J1"]
    assert row.normal_volts == pytest.approx(0.0, abs=1e-3)
    assert row.capacitor == "C2"
    assert row.fault_volts > 60.0
    assert row.path_ohms == pytest.approx(220e3)
    # 2 k to ground pull the plate down over its 100 k: all of B+ across 102 k, less the tube's share
    found = study(jacked(220e3))
    most = found.operating["high"].volts["B1"] / (100e3 + BODY_OHMS)
    assert 0.8 * most < row.fault_amps <= most


def behind(*, leak: bool) -> Netlist:
    """The jack of `jacked` behind one more capacitor: from the coupling capacitor's cold end, or from a resistor nothing feeds."""
    bench = Bench()
    bench.supply("B1", 47e-6)
    bench.triode("V1", "plate", "grid", "cathode")
    bench.resistor("R1", "B1", "plate", 100e3)
    bench.resistor("R2", "cathode", "0", 1.5e3)
    bench.resistor("R3", "grid", "0", 1e6)
    bench.capacitor("C2", "plate", "cold" if leak else "elsewhere", 100e-9)
    bench.resistor("R4", "cold", "0", 1e6)
    bench.resistor("R5", "elsewhere", "0", 1e6)
    bench.capacitor("C3", "cold", "tip", 100e-9)
    bench.resistor("R6", "tip", "0", 220e3)
    pins = (Pin("tip", "tip"), Pin("sleeve", "0"))
    jack = Jack(ref="J1", path="", stage="", role="", span=NOWHERE, pins=pins, purpose="footswitch", switched=False)
    bench.parts.append(jack)
    return bench.netlist(input_net="")


def test_a_capacitor_counts_only_where_dc_can_stand_behind_it() -> None:
    """Two in series: the one at the jack keeps off what the other leaks. The same one on a resistor to ground keeps nothing off."""
    (counted,) = contacts(study(behind(leak=True)))
    assert counted.capacitors == ("C3",)
    (idle,) = contacts(study(behind(leak=False)))
    assert idle.capacitors == ()


@pytest.mark.parametrize("electrode", ["grid", "cathode"])
def test_a_tube_behind_it_makes_a_capacitor_count(electrode: str) -> None:
    """A grid and a cathode rest near ground, but what hangs on them does not stay there when a tube fails."""
    netlist = jacked(220e3)
    moved = [replace(p, pins=(Pin("1", electrode), Pin("2", "tip"))) if p.ref == "C2" else p for p in netlist.parts]
    (found,) = contacts(study(replace(netlist, parts=tuple(moved))))
    assert found.capacitors == ("C2",)


def test_a_contact_without_a_path_says_so() -> None:
    row = faults(jacked(None))["J1"]
    assert row.path_ohms is None


def test_the_footswitch_line_of_the_demos_survives_a_short() -> None:
    for name in ("curlew", "heron"):
        rows = [row for row in faults(demo(name)).values() if row.capacitor]
        assert rows
        assert all(abs(row.fault_volts) < 60.0 for row in rows)
