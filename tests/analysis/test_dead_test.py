"""Dead tests against an outside solver: the amp without tubes as a deck made here by hand, with real diodes in it, read by ngspice.

The deck shares no code with the analysis: it is written from the parts and from what the manual says about switches, controls and plugs.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from humdinger.analysis.dead_test import dead_tests
from humdinger.analysis.results import DeadTest, DeadTests
from humdinger.circuit.netlist import (
    Bond,
    Choke,
    Diode,
    Fuse,
    Jack,
    Netlist,
    OutputTransformer,
    Pot,
    PowerTransformer,
    Resistor,
    Switch,
)
from support.demos import NAMES, demo
from support.ngspice import run_deck

METER_VOLTS, METER_AMPS = 1.0, 1e-3


@cache
def readings(name: str) -> DeadTests:
    return dead_tests(demo(name))


def lift(netlist: Netlist, row: DeadTest) -> set[str]:
    """Designators that are out of the circuit for a row, from the words the builder reads."""
    out = {stage.parts["resistor"] for stage in netlist.stages_of("feedback")}
    for word in row.setup:
        if word.endswith(("lifted", "out of its holder")):
            out |= set(word.replace(" lifted", "").replace(" out of its holder", "").split(" and "))
    return out


def joined_pairs(netlist: Netlist, row: DeadTest, out: set[str]) -> list[tuple[str, str]]:
    """Nets that wire, a contact or a fuse makes one in the state of a row."""
    pairs = []
    for part in netlist.parts:
        if part.ref in out:
            continue
        if isinstance(part, Fuse | Bond):
            pairs.append((part.net("1"), part.net("2")))
        if isinstance(part, Switch):
            on = ("mains switch on" in row.setup) if part.where == "mains" else part.where == "standby"
            on = on and f"{part.ref} in STANDBY" not in row.setup
            nets = {p.name: p.net for p in part.pins}
            pairs += [(nets[f"{k}a"], nets[f"{k}b"]) for k in range(1, part.poles + 1) if on]
        if isinstance(part, Jack) and part.switched and f"plug with nothing on it in {part.ref}" not in row.setup:
            pairs.append((part.net("tip"), part.net("tip-switch")))
    return pairs


def resistances(netlist: Netlist, out: set[str]) -> list[tuple[str, str, float]]:
    """Every resistance that is left with the tubes out."""
    found: list[tuple[str, str, float]] = []
    for part in netlist.parts:
        if part.ref in out:
            continue
        if isinstance(part, Resistor | Choke):
            found.append((part.net("1"), part.net("2"), part.ohms))
        if isinstance(part, Pot):
            share = 0.5 if "hum-balance" in part.role else 0.0 if "adjustment" in part.role else 1.0
            found += [(part.net("ccw"), part.net("wiper"), share * part.ohms), (part.net("wiper"), part.net("cw"), (1 - share) * part.ohms)]
        if isinstance(part, OutputTransformer):
            half = part.primary_resistance / 2
            if part.topology == "single-ended":
                found.append((part.net("P"), part.net("B"), 2 * half))
            else:
                for end, tap in (("P1", "S1"), ("P2", "S2")):  # copper goes by turns
                    share = part.screen_tap or 0.0
                    if share:
                        found.append((part.net(tap), part.net("CT"), share * half))
                    found.append((part.net(end), part.net(tap if share else "CT"), (1.0 - share) * half))
            below, ohms = "0", 0.0
            for tap in sorted(part.taps, key=lambda tap: tap.resistance):
                found.append((part.net(below), part.net(tap.pin), tap.resistance - ohms))
                below, ohms = tap.pin, tap.resistance
        if isinstance(part, PowerTransformer):
            found.append((part.net("L"), part.net("N"), part.primary_resistance))
            for winding in part.windings:
                pins = [part.net(pin) for pin in winding.pins if pin]
                each = list(winding.resistance) or [0.0] * (len(pins) - 1)
                found += list(zip(pins, pins[1:], each, strict=False))
    return found


def amps_through(netlist: Netlist, row: DeadTest, volts: float, *, turned: bool = False) -> float:
    """What an ohmmeter of `volts` drives from its plus lead to its minus lead."""
    out = lift(netlist, row)
    red, black = (row.black, row.red) if turned else (row.red, row.black)
    ends = [netlist.by_ref[ref].net(pin) for ref, pin in (red, black)]
    pairs = joined_pairs(netlist, row, out)
    parts = resistances(netlist, out)
    if row.group == "feedback":  # its lead at the speaker's side is loose: a point of its own
        loop = netlist.by_ref[row.about]
        assert isinstance(loop, Resistor)
        loose, lead = "loose", (row.black, row.red)[turned]
        assert lead[0] == row.about
        ends[1 - turned] = loose
        parts.append((loose, next(p.net for p in loop.pins if p.name != lead[1]), loop.ohms))
    pairs += [(a, b) for a, b, ohms in parts if ohms == 0.0]
    name = {net: net for net in {*netlist.nets, *netlist.on_net, "0", "loose"}}
    for a, b in pairs:
        old, new = name[a], name[b]
        name = {net: new if top == old else top for net, top in name.items()}
    if name[ends[0]] == name[ends[1]]:
        return float("inf")
    numbers = {top: f"n{k}" for k, top in enumerate(sorted(set(name.values())))}
    numbers[name[ends[1]]] = "0"
    cards = [
        f"R{k} {numbers[name[a]]} {numbers[name[b]]} {ohms:.12g}"
        for k, (a, b, ohms) in enumerate(parts)
        if ohms > 0.0 and name[a] != name[b]
    ]
    for d in netlist.of(Diode):
        cards.append(f"D{d.ref} {numbers[name[d.net('a')]]} {numbers[name[d.net('k')]]} silicon")
    deck = [
        "dead test", f"Vmeter {numbers[name[ends[0]]]} 0 {volts:.12g}", *cards, ".model silicon D(IS=1e-14 N=1.8)",
        ".options gmin=1e-15 reltol=1e-9 abstol=1e-16 vntol=1e-10 rshunt=1e15", ".op", ".end", "",
    ]  # fmt: skip
    return -float(run_deck("\n".join(deck))["i(vmeter)"][0])


@pytest.mark.parametrize("name", NAMES)
def test_every_reading_equals_an_independent_nodal_solution(name: str) -> None:
    netlist = demo(name)
    read = 0
    for key, row in readings(name).rows.items():
        volts = METER_VOLTS if row.ohms is None else min(METER_VOLTS, METER_AMPS * max(row.ohms, 1e-3))
        amps = amps_through(netlist, row, volts)
        if row.kind == "open":
            assert abs(amps) < 1e-9, key
        elif row.kind == "joined":
            assert amps == float("inf"), key
        else:
            assert volts / amps == pytest.approx(row.ohms, rel=1e-6), key
            read += 1
    assert read > 15


def test_leads_are_the_way_round_in_which_the_diodes_block() -> None:
    rows = readings("heron").rows
    for key in ("supply/bias.reservoir", "supply/bias.filter-1", "grid/V4"):
        row = rows[key]
        assert row.red == ("W1", "1"), key
        turned = amps_through(demo("heron"), row, 3.0, turned=True)
        assert row.ohms is not None
        # a grid is far from the diode: at 3 V its share just begins to conduct
        assert turned > (1.0 if key == "grid/V4" else 1.05) * 3.0 / row.ohms, key
    assert rows["supply/B1"].black == ("W1", "1")
    bridge = readings("dunlin").rows["supply/B1"]
    assert bridge.ohms is not None
    assert amps_through(demo("dunlin"), bridge, 3.0, turned=True) > 1.5 * 3.0 / bridge.ohms


@pytest.mark.parametrize("name", NAMES)
def test_bands_hold_any_draw_of_the_parts(name: str) -> None:
    """Rayleigh: with every resistor somewhere in its tolerance the reading stays in the band; at the ends it reaches them."""
    netlist = demo(name)
    scaled = {}
    for share in (0.95, 1.05):
        parts = tuple(replace(p, ohms=p.ohms * share) if isinstance(p, Resistor) and p.tolerance is None else p for p in netlist.parts)
        scaled[share] = dead_tests(replace(netlist, parts=parts)).rows
    for key, row in readings(name).rows.items():
        if row.kind != "ohms":
            continue
        assert row.low_ohms is not None
        assert row.high_ohms is not None
        assert row.ohms is not None
        assert row.low_ohms < row.ohms < row.high_ohms, key
        for rows in scaled.values():
            assert row.low_ohms * (1 - 1e-9) <= (rows[key].ohms or 0.0) <= row.high_ohms * (1 + 1e-9), key
    first = readings(name).rows["cathode/V1a"]
    assert first.low_ohms == pytest.approx(scaled[0.95]["cathode/V1a"].ohms, rel=1e-9)
    assert first.high_ohms == pytest.approx(scaled[1.05]["cathode/V1a"].ohms, rel=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_every_tube_pin_that_has_a_dc_return_is_read(name: str) -> None:
    netlist = demo(name)
    rows = readings(name).rows
    for section in netlist.sections:
        if section.section.kind == "rectifier":
            continue
        for electrode in ("grid", "cathode", "plate", *(("screen",) if section.screen else ())):
            row = rows[f"{electrode}/{section.ref}"]
            assert section.tube in (row.red[0], row.black[0])
            assert row.kind in ("ohms", "joined"), (section.ref, electrode)
    assert rows[f"insulation/{next(netlist.of(PowerTransformer)).ref}"].stop_below_ohms == 1e6


def test_a_winding_that_nobody_measured_has_no_number() -> None:
    netlist = demo("heron")
    parts = []
    for p in netlist.parts:
        if isinstance(p, PowerTransformer):
            windings = tuple(replace(w, resistance=()) if w.kind == "bias" else w for w in p.windings)
            parts.append(replace(p, windings=windings))
        else:
            parts.append(p)
    rows = dead_tests(replace(netlist, parts=tuple(parts))).rows
    row = next(r for k, r in rows.items() if "BIAS-A" in k)
    assert (row.kind, row.ohms) == ("unknown", None)
    assert row.unknown == (next(netlist.of(PowerTransformer)).ref,)
    assert rows["grid/V4"].ohms == readings("heron").rows["grid/V4"].ohms  # what does not hang on it keeps its number
    heater = rows["heater/H1/2"]
    assert heater.kind == "ohms"


def test_a_wrong_part_leaves_the_band() -> None:
    """A cathode resistor ten times too large (a slip of one colour band) is outside; so is a B+ node with a shorted capacitor's worth."""
    netlist = demo("curlew")
    ref = netlist.stage("first").parts["cathode-resistor"]
    parts = tuple(replace(p, ohms=27e3) if p.ref == ref and isinstance(p, Resistor) else p for p in netlist.parts)
    wrong = dead_tests(replace(netlist, parts=parts)).rows["cathode/V1a"].ohms
    right = readings("curlew").rows["cathode/V1a"]
    assert wrong is not None
    assert right.high_ohms is not None
    assert wrong > right.high_ohms
    supply = readings("curlew").rows["supply/B1"]
    assert supply.stop_below_ohms == 10e3


def test_a_closed_feedback_loop_shows_in_its_own_row_and_in_no_other_way_than_zero_ohms() -> None:
    """Open, the meter goes through the resistor and what is behind it; a loop that was closed by mistake is one wire."""
    netlist = demo("heron")
    part = netlist.by_ref[netlist.stage("feedback").parts["resistor"]]
    assert isinstance(part, Resistor)
    row = readings("heron").rows[f"feedback/{part.ref}"]
    assert row.kind == "ohms"
    assert row.ohms is not None
    assert row.ohms > part.ohms
    ends = {netlist.by_ref[ref].net(pin) for ref, pin in (row.red, row.black)}
    assert len(ends) == 1  # the two points the wire will join
    assert netlist.nets[ends.pop()].domain == "speaker"
    assert not [key for key in readings("dunlin").rows if key.startswith("feedback")]


@pytest.mark.parametrize("name", NAMES)
def test_what_is_lifted_for_a_row_is_proved_to_be_back_by_a_later_one(name: str) -> None:
    """A builder who takes the heater's reference out must not find its proof ticked already."""
    rows = list(readings(name).rows.values())
    for k, row in enumerate(rows):
        for word in row.setup:
            if word.endswith(" lifted"):
                back = word.replace(" lifted", " on again")
                assert any(back in later.setup for later in rows[k + 1 :]), word
                assert not any(back in earlier.setup for earlier in rows[:k]), word
