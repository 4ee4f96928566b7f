"""What the meter and the mains side see: source resistance of nodes, volts of loaded windings, watts in plate leads."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from humdinger.analysis.probing import METER_OHMS, source_ohms
from humdinger.analysis.ripple import charging
from humdinger.analysis.solve import solve
from humdinger.analysis.study import study
from humdinger.analysis.supply import no_load_volts
from humdinger.analysis.variants import short, solve_variants
from humdinger.circuit.netlist import PowerTransformer, Resistor
from support.demos import NAMES, demo


@pytest.mark.parametrize("name", NAMES)
def test_source_resistance_is_what_a_small_current_moves(name: str) -> None:
    found = study(demo(name)).solved["nominal"]
    ohms = source_ohms(found)
    nets = tuple(found.system.index)
    small = 1e12  # its current is so small that a tube is its tangent
    for net, variant in zip(nets, solve_variants(found, [(short(net, "0", small),) for net in nets]), strict=True):
        moved = found.volts(net) - variant.volts(net)
        assert variant.good
        assert moved == pytest.approx(found.volts(net) * ohms[net] / small, rel=0.05, abs=2e-6), net


def test_the_meter_moves_the_grid_of_a_long_tailed_pair_less_than_its_grid_leak_says() -> None:
    """Its cathodes follow the grid, so the leak's lower end comes down with it, until the tube takes less current."""
    netlist = demo("curlew")
    results, _ = solve(netlist)
    assert results is not None
    net = netlist.by_section["V3a"].grid
    volts, shown = results.nominal.volts[net], results.metered_volts[net]
    assert volts * METER_OHMS / (METER_OHMS + results.source_ohms[net]) < shown < 0.99 * volts
    assert all(results.source_ohms[n] > 1e5 for n in results.metered_volts)
    assert not set(netlist.b_plus) & set(results.metered_volts)


@pytest.mark.parametrize("name", NAMES)
def test_loaded_winding_volts_are_those_of_its_waveform(name: str) -> None:
    """The same law sampled over a cycle: EMF, pulses through the leg, drops of primary and winding, root of the mean square."""
    solved = study(demo(name)).solved["high"]
    netlist = solved.system.netlist
    points = {r.id: r for r in netlist.rectifiers}
    phase = np.linspace(-np.pi, np.pi, 20001)[:-1]
    for c in charging(solved).values():
        r, rectifier = c.rectifier, points[c.rectifier.name]
        transformer = netlist.by_ref[rectifier.transformer]
        assert isinstance(transformer, PowerTransformer)
        winding = transformer.winding(rectifier.winding)
        own = float(np.mean(winding.resistance)) if winding.resistance else 0.0
        primary = (no_load_volts(transformer, winding, r.arrangement) / transformer.primary_volts) ** 2 * transformer.primary_resistance
        emf = r.peak * np.cos(phase)
        there, back = (np.where(side > c.volts, r.port()(side - c.volts)[0], 0.0) for side in (emf, -emf))
        both = there if r.arrangement == "half-wave" else there - back
        mine = there if r.arrangement == "full-wave" else both
        sampled = float(np.sqrt(np.mean((emf - primary * both - own * mine) ** 2)))
        computed = _point(solved, c.rectifier.name).winding_volts_rms
        assert computed == pytest.approx(sampled, rel=2e-3)
        assert computed < r.peak / np.sqrt(2.0)


def _point(solved, name: str):
    from humdinger.analysis.operating import operating_of

    return operating_of(solved).rectifiers[name]


def test_plate_lead_resistors_take_the_pulses_of_their_lead() -> None:
    netlist = demo("heron")
    found = study(netlist)
    refs = [p.ref for p in netlist.of(Resistor) if p.role.startswith("plate-resistor")]
    assert len(refs) == 2
    for name, operating in found.operating.items():
        point = operating.rectifiers["high-tension"]
        for ref in refs:
            part = netlist.by_ref[ref]
            assert isinstance(part, Resistor)
            assert operating.parts[ref].watts == pytest.approx(point.winding_rms_amps**2 * part.ohms), name
            assert operating.parts[ref].volts == pytest.approx(point.peak_amps * part.ohms), name
    # the winding's rms is well above half the direct current: the watts are not those of the direct current
    nominal = found.nominal.rectifiers["high-tension"]
    assert nominal.winding_rms_amps > 1.2 * nominal.dc_amps


def test_without_resistors_in_the_leads_nothing_is_added() -> None:
    netlist = demo("heron")
    plain = replace(netlist, rectifiers=tuple(replace(r, extra_ohms=0.0) for r in netlist.rectifiers))
    assert not any(netlist.by_ref[ref].role.startswith("plate-resistor") for ref in study(plain).nominal.parts)
