"""Formulas of the power supply: from the winding to the last B+ node, and what the transformer carries."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..circuit.netlist import Capacitor, Choke, Netlist, PowerTransformer, Rectifier, Resistor
from .discharge import SAFE_VOLTS
from .results import Given, RectifierPoint, Results, Worked
from .stacks import series_farads, stack_of
from .worked_inputs import OHM

GROUP = "supply"
ALGEBRA = "standard filter algebra"
LEAST_RIPPLE = 1e-4
"""Volts peak to peak below which a node's ripple is not followed farther: no oscilloscope on the bench shows it (common practice)."""


def supply_formulas(netlist: Netlist, results: Results) -> Iterator[Worked]:
    """Rectifiers, the chain of B+ nodes, discharge, then windings and mains."""
    for rectifier in netlist.rectifiers:
        if rectifier.id in results.nominal.rectifiers:
            yield from _rectifier(netlist, results, rectifier, results.nominal.rectifiers[rectifier.id])
    yield from _chain(netlist, results)
    yield from _discharge(netlist, results)
    yield from _windings(results)


def _rectifier(netlist: Netlist, results: Results, r: Rectifier, point: RectifierPoint) -> Iterator[Worked]:
    about = r.id
    yield Worked(
        name=f"{about}/peak",
        group=GROUP,
        about=about,
        what="peak of the winding, nothing connected",
        symbol="Vp",
        formula="√2·V",
        given=(Given("V", point.no_load_volts_rms, "V", f"{r.winding}, no load, rms"),),
        unit="V",
        closed=math.sqrt(2.0) * point.no_load_volts_rms,
        solved=point.emf_peak_volts,
        why="the solver's has the heaters' drop in the primary taken off",
        source="sine",
    )
    cold = results.operating.get("no-tubes")
    if r.middle and cold is not None and r.id in cold.rectifiers:
        yield Worked(
            name=f"{about}/doubled",
            group=GROUP,
            about=about,
            what="B+ of the doubler, no tubes in",
            symbol="V+",
            formula="2·√2·V",
            given=(Given("V", point.no_load_volts_rms, "V", f"{r.winding}, no load, rms"),),
            unit="V",
            closed=2.0 * math.sqrt(2.0) * point.no_load_volts_rms,
            solved=cold.rectifiers[r.id].dc_volts,
            why="the solver's has two diodes, the resistors across the reservoirs and the winding's resistance in it",
            source="each half-wave charges one of two capacitors in series",
        )
    part, transformer = netlist.by_ref.get(r.reservoir), netlist.by_ref.get(r.transformer)
    pulses = 1.0 if r.arrangement == "half-wave" else 2.0
    if isinstance(part, Capacitor):
        amps, hertz = abs(point.dc_amps), netlist.mains_hertz
        stack = stack_of(netlist, part.ref)
        farads = series_farads(stack)
        name = part.ref if len(stack) == 1 else f"{' and '.join(c.ref for c in stack)} in series"
        yield Worked(
            name=f"{about}/ripple",
            group=GROUP,
            about=about,
            what=f"ripple on {name}, peak to peak",
            symbol="V",
            formula="I/(2·f·C)" if pulses > 1.0 else "I/(f·C)",
            given=(Given("I", amps, "A", "direct"), Given("f", hertz, "Hz", "mains"), Given("C", farads, "F", name)),
            unit="V",
            closed=amps / (pulses * hertz * farads),
            solved=results.nominal.ripple_volts_pp.get(r.plus, point.ripple_volts_pp),
            why="the formula lets the capacitor feed the load for the whole half cycle; while the rectifier conducts it need not",
            source=ALGEBRA,
        )
    if isinstance(transformer, PowerTransformer):
        budget = next((w for w in results.windings if w.transformer == r.transformer and w.winding == r.winding), None)
        if budget is not None and budget.dc_amps and budget.form_factor:
            yield Worked(
                name=f"{about}/winding",
                group=GROUP,
                about=about,
                what=f"rms current of winding {r.winding}",
                symbol="Irms",
                formula="k·I",
                given=(
                    Given("k", budget.form_factor, "x", "form factor of the charging pulses"),
                    Given("I", budget.dc_amps, "A", "direct"),
                ),
                unit="A",
                closed=budget.form_factor * budget.dc_amps,
                solved=budget.rms_amps,
                source="definition of the form factor; the pulse is that of the averaged rectifier law",
            )


def _chain(netlist: Netlist, results: Results) -> Iterator[Worked]:
    """Node by node away from the rectifier: volts and ripple."""
    filter_ = next(iter(netlist.stages_of("filter")), None)
    if filter_ is None:
        return
    volts, ripple = results.nominal.volts, results.nominal.ripple_volts_pp
    twice = 2.0 * netlist.mains_hertz
    for node in netlist.b_plus[1:]:
        part = netlist.by_ref.get(filter_.parts.get(f"{node}-through", "") or filter_.parts.get(f"{node}-choke", ""))
        capacitor = netlist.by_ref.get(filter_.parts.get(f"{node}-capacitor", ""))
        if not isinstance(part, Resistor | Choke) or not isinstance(capacitor, Capacitor):
            continue
        before = next((pin.net for pin in part.pins if pin.net != node), "")
        stress = results.nominal.parts.get(part.ref)
        amps = abs(stress.amps) if stress else abs(volts.get(before, 0.0) - volts.get(node, 0.0)) / part.ohms
        yield Worked(
            name=f"{node}/volts",
            group=GROUP,
            about=node,
            what=f"volts of {node}",
            symbol=node,
            formula="V − I·R",
            given=(
                Given("V", volts.get(before, 0.0), "V", before),
                Given("I", amps, "A", f"through {part.ref}, everything behind it"),
                Given("R", part.ohms, "ohm", part.ref),
            ),
            unit="V",
            closed=volts.get(before, 0.0) - amps * part.ohms,
            solved=volts.get(node),
            source=OHM,
        )
        if before in ripple and ripple.get(node, 0.0) >= LEAST_RIPPLE:
            yield _ripple(node, before, part, capacitor, twice, ripple[before], ripple[node])


def _ripple(node: str, before: str, part: Resistor | Choke, capacitor: Capacitor, hertz: float, into: float, out: float) -> Worked:
    w = 2.0 * math.pi * hertz
    choke = isinstance(part, Choke)
    if choke:
        formula, closed = "v/((2π·f)²·L·C − 1)", into / abs(w * w * part.henries * capacitor.farads - 1.0)
        given = (Given("L", part.henries, "H", part.ref),)
    else:
        formula, closed = "v/√(1 + (2π·f·R·C)²)", into / math.hypot(1.0, w * part.ohms * capacitor.farads)
        given = (Given("R", part.ohms, "ohm", part.ref),)
    return Worked(
        name=f"{node}/ripple",
        group=GROUP,
        about=node,
        what=f"ripple on {node}, peak to peak",
        symbol="v",
        formula=formula,
        given=(
            Given("v", into, "V", f"ripple on {before}"),
            Given("f", hertz, "Hz", "twice the mains"),
            *given,
            Given("C", capacitor.farads, "F", capacitor.ref),
        ),
        unit="V",
        closed=closed,
        solved=out,
        why="the formula takes the ripple as one sine at twice the mains; its harmonics are filtered more",
        source=ALGEBRA,
    )


def _discharge(netlist: Netlist, results: Results) -> Iterator[Worked]:
    filter_ = next(iter(netlist.stages_of("filter")), None)
    supply = [d for d in results.discharges if d.kind == "supply" and d.start_volts > SAFE_VOLTS]
    bleeders = [netlist.by_ref[ref] for role, ref in filter_.parts.items() if role.endswith("-bleeder")] if filter_ else []
    ohms = [p.ohms for p in bleeders if isinstance(p, Resistor)]
    slowest = max((d.seconds for d in supply if d.seconds is not None), default=None)
    if len(ohms) != 1 or not supply or slowest is None:
        return
    farads, volts = sum(d.farads for d in supply), max(d.start_volts for d in supply)
    yield Worked(
        name="discharge/energy",
        group=GROUP,
        about="discharge",
        what="energy on the B+ nodes, tubes cold, mains at its highest",
        symbol="W",
        formula="C·V²/2",
        given=(Given("C", farads, "F", "all B+ capacitors together"), Given("V", volts, "V", "cold start")),
        unit="J",
        closed=0.5 * farads * volts**2,
        solved=sum(d.joules for d in supply),
        source="energy of a capacitor",
    )
    yield Worked(
        name="discharge/seconds",
        group=GROUP,
        about="discharge",
        what=f"slowest B+ node to {SAFE_VOLTS:.0f} V after switch-off",
        symbol="t",
        formula="R·C·ln(V/Vs)",
        given=(
            Given("R", ohms[0], "ohm", f"bleeder {bleeders[0].ref}"),
            Given("C", farads, "F", "all B+ capacitors together"),
            Given("V", volts, "V", "cold start"),
            Given("Vs", SAFE_VOLTS, "V", "touch limit"),
        ),
        unit="s",
        closed=ohms[0] * farads * math.log(volts / SAFE_VOLTS),
        solved=slowest,
        why="the nodes behind resistors lag the one with the bleeder, and other paths help it",
        source="one time constant, standard algebra",
    )


def _windings(results: Results) -> Iterator[Worked]:
    for budget in results.heaters:
        given = tuple(Given(f"I{k}", amps, "A", ref) for k, (ref, amps) in enumerate(budget.consumers, 1))
        if not given:
            continue
        yield Worked(
            name=f"{budget.winding}/load",
            group="transformer",
            about=budget.winding,
            what=f"load of heater winding {budget.winding}",
            symbol="I",
            formula=" + ".join(g.symbol for g in given),
            given=given,
            unit="A",
            closed=sum(g.value for g in given),
            solved=budget.load_amps,
            source="heater currents: library",
        )
    mains = results.mains
    yield Worked(
        name="mains/amps",
        group="transformer",
        about="mains",
        what="primary current at idle, rms",
        symbol="I",
        formula="S/V",
        given=(
            Given("S", mains.volt_amps, "VA", "all windings and losses"),
            Given("V", results.nominal.condition.mains_volts, "V", "nominal mains"),
        ),
        unit="A",
        closed=mains.volt_amps / results.nominal.condition.mains_volts,
        solved=mains.primary_rms_amps,
        source="definition of the volt-ampere",
    )
