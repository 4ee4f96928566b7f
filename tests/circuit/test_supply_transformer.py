"""The power transformer: the tap the region picks, and the windings."""

from __future__ import annotations

import pytest

from humdinger.circuit.netlist import PowerTransformer
from support.texts import edited, line_of, text_of

HEATERS = "    heaters: [{volts: 6.3 V, current: 4 A, feeds: [all], no_load: 6.8 V}]\n"


def transformer(netlist) -> PowerTransformer:
    (found,) = netlist.of(PowerTransformer)
    return found


@pytest.mark.parametrize(
    ("region", "market", "volts", "ohms"), [("uk", "uk", 230.0, 12.0), ("us", "us", 120.0, 3.3), ("au", "au", 230.0, 12.0)]
)
def test_the_region_picks_the_nearest_tap(region, market, volts, ohms):
    netlist = edited("whimbrel", ("region: uk\n", f"region: {region}\n"), ("market: uk\n", f"market: {market}\n")).good
    found = transformer(netlist)
    assert (found.primary_volts, found.primary_resistance) == (volts, ohms)
    assert netlist.stage("transformer").facts["primary_taps_volts"] == (230.0, 120.0)
    assert netlist.stage("transformer").facts["primary_tap_volts"] == volts


def test_japan_takes_the_120_volt_tap():
    netlist = edited("whimbrel", ("region: uk\n", "region: jp\nfrequency: 50 Hz\n"), ("market: uk\n", "market: jp\n")).good
    assert transformer(netlist).primary_volts == 120.0  # 100 V is 1.2 from it and 2.3 from 230 V
    assert netlist.mains_hertz == 50.0


def test_whimbrel_windings():
    found = transformer(edited("whimbrel").good)
    ht = found.winding("HT")
    assert (ht.volts, ht.amps, ht.basis, ht.resistance, ht.no_load_volts, ht.centre_tapped) == (
        280.0,
        0.3,
        "rms",
        (38.0, 40.0),
        292.0,
        True,
    )
    assert [(w.name, w.volts, w.amps, w.feeds) for w in found.windings if w.kind == "heater"] == [
        ("H1", 6.3, 5.0, ("all",)),
        ("H2", 5.0, 2.5, ("rectifier",)),
    ]
    bias = found.winding("BIAS")
    assert (bias.volts, bias.amps, bias.resistance) == (55.0, 0.05, (40.0,))
    assert [found.net(pin) for pin in bias.pins if pin] == ["bias.ac", "0"]
    assert (found.insulation_volts, found.screen, found.watts, found.primary_hertz) == (3000.0, True, 200.0, (50.0, 60.0))
    assert found.net("SCREEN") == "PE"


def test_pipit_has_a_plain_winding_and_no_screen():
    found = transformer(edited("pipit").good)
    ht = found.winding("HT")
    assert (ht.pins, ht.centre_tapped, ht.resistance) == (("HT-A", "", "HT-B"), False, (110.0,))
    assert "SCREEN" not in [pin.name for pin in found.pins]
    assert not found.screen


def test_a_straight_centre_tap_is_ground():
    assert transformer(edited("ruff").good).net("HT-CT") == "0"


def test_a_bridge_uses_the_whole_of_a_tapped_winding():
    netlist = edited("ruff", ("arrangement: full-wave", "arrangement: bridge")).good
    ht = transformer(netlist).winding("HT")
    assert (ht.volts, ht.no_load_volts, ht.resistance, ht.centre_tapped) == (440.0, 472.0, (143.0,), False)
    assert ht.pins == ("HT-A", "HT-CT", "HT-B")
    assert netlist.nets["ht.ct"].open
    assert len(netlist.on_net["ht.ct"]) == 1


@pytest.mark.parametrize("resistance", ["[143]", "143"])
def test_a_tapped_winding_needs_both_halves(resistance):
    pair = ("resistance: [70, 73]", f"resistance: {resistance}")
    found = edited("ruff", pair)
    assert found.codes() == ["ELB-041"]
    assert found.lines() == [line_of(text_of("ruff"), "resistance: [70, 73]")]


def test_a_bias_winding_nobody_uses_is_insulated():
    spare = HEATERS + "    bias: {volts: 50 V, current: 20 mA, basis: rms, resistance: [60]}\n"
    netlist = edited("ruff", (HEATERS, spare)).good
    found = transformer(netlist)
    ends = [found.net(pin) for pin in found.winding("BIAS").pins if pin]
    assert ends == ["bias.ac", "bias.ac-return"]
    assert all(netlist.nets[end].open for end in ends)


def test_heater_windings_feed_all_unless_told():
    netlist = edited("pipit").good
    assert transformer(netlist).winding("H1").feeds == ("all",)
    assert next(d for d in netlist.defaults if d.path == "supply/transformer/heaters/0/feeds").text == "[all]"
