"""`humdinger solve --format text`: every computed value with its unit, as plain text.

The order is that of a bench: supply, tubes, nodes, signal, tremolo, then what is carried, stored and touched.
"""

from __future__ import annotations

from ..circuit.netlist import Netlist
from ..units import show_amps, show_farads, show_hertz, show_ohms, show_seconds, show_volts, show_watts
from .report_power import contact_lines, discharge_lines, grid_lines, heater_lines, rectifier_lines, stress_lines, winding_lines
from .report_signal import bias_lines, corner_lines, gain_lines, output_lines, pole_lines, response_lines, tremolo_lines
from .report_table import SHORT, maybe, percent, section, table
from .results import CONDITIONS, Results


def solve_text(netlist: Netlist, results: Results) -> str:
    """The whole report, ending in a newline."""
    lines = [f"{netlist.name}, region {netlist.region.code}, {show_hertz(netlist.mains_hertz)} mains", ""]
    lines += section("Conditions", _conditions(results))
    lines += section("B+ nodes", _b_plus(netlist, results))
    lines += section("Rectifiers at nominal mains", rectifier_lines(results))
    lines += section("Tubes at nominal mains", _tubes(netlist, results))
    lines += section(
        "Tubes by condition: plate volts to cathode, plate current, share of plate dissipation", _tube_conditions(netlist, results)
    )
    lines += section("Bias of the output tubes", bias_lines(results))
    lines += section("Nodes, volts to circuit ground", _nodes(netlist, results))
    lines += section("Gain per stage at 1 kHz", gain_lines(results))
    lines += section("From the input jack to the speaker", response_lines(netlist, results))
    lines += section("Input, inverter and output", output_lines(results))
    lines += section("Coupling capacitors", corner_lines(netlist, results))
    lines += section("Tremolo", tremolo_lines(results))
    lines += section("Poles, rightmost first", pole_lines(results))
    lines += section("Windings of the power transformer", winding_lines(results))
    lines += section("Heaters", heater_lines(results))
    lines += section("Discharge after switch-off, tubes cold", discharge_lines(results))
    lines += section("Grid paths, worst wiper", grid_lines(results))
    lines += section("Parts, worst over the conditions", stress_lines(netlist, results))
    lines += section("What can be touched, and what must be apart", contact_lines(results))
    return "\n".join(lines).rstrip("\n") + "\n"


def _present(results: Results) -> list[str]:
    return [name for name in CONDITIONS if name in results.operating]


def _named(results: Results) -> list[str]:
    return [SHORT.get(name, name) for name in _present(results)]


def _conditions(results: Results) -> list[str]:
    rows = []
    for name in _present(results):
        found = results.operating[name]
        way = found.convergence
        rows.append(
            (
                SHORT.get(name, name),
                show_volts(found.condition.mains_volts),
                found.condition.tubes,
                f"{way.iterations} iterations" + (", settled from cold first" if way.fallback else ""),
                show_amps(way.residual_amps),
            )
        )
    lines = table(("condition", "mains", "tubes", "solved in", "worst current sum"), rows, left=3)
    controls = results.nominal.condition.controls
    if controls:
        lines.append("  controls: " + ", ".join(f"{name} {10.0 * at:g}" for name, at in controls.items()))
    return lines


def _b_plus(netlist: Netlist, results: Results) -> list[str]:
    nominal = results.nominal
    rows = [
        (
            node,
            *(maybe(show_volts, results.operating[name].volts.get(node)) for name in _present(results)),
            maybe(show_volts, nominal.ripple_volts_pp.get(node)),
        )
        for node in netlist.b_plus
    ]
    lines = table(("node", *_named(results), "ripple p-p, nominal"), rows)
    chain = [f"{d.node} {show_ohms(d.ohms)} and {show_farads(d.farads)}, {show_seconds(d.seconds)}" for d in results.decouplers]
    return lines + ([f"  time constants: {'; '.join(chain)}"] if chain else [])


def _tubes(netlist: Netlist, results: Results) -> list[str]:
    rows = []
    for section_ in netlist.sections:
        point = results.nominal.sections.get(section_.ref)
        if point is None:
            continue
        rating = section_.section.rating()
        plate = 100.0 * point.plate_watts / rating.plate_watts.value if rating and rating.plate_watts else None
        screen = None
        if rating and rating.screen_watts and point.screen_watts is not None:
            screen = 100.0 * point.screen_watts / rating.screen_watts.value
        part = netlist.by_ref[section_.tube]
        rows.append(
            (
                section_.ref,
                part.label,
                show_volts(point.plate_volts + point.cathode_to_ground_volts),
                maybe(show_volts, point.screen_volts + point.cathode_to_ground_volts if point.screen_volts is not None else None),
                show_volts(point.cathode_to_ground_volts),
                show_volts(point.grid_volts),
                show_amps(point.plate_amps),
                maybe(show_amps, point.screen_amps),
                show_amps(point.cathode_amps),
                show_watts(point.plate_watts),
                percent(plate),
                percent(screen),
                f"{1e3 * point.transconductance:.2f} mS",
                show_ohms(point.plate_ohms),
                f"{point.mu:.1f}" if point.mu < 100.0 else f"{point.mu:.0f}",
            )
        )
    head = ("tube", "type", "plate", "screen", "cathode", "grid-cathode", "Ia", "Ig2", "Ik", "Pa", "of Pa", "of Pg2", "gm", "rp", "mu")
    return table(head, rows, left=2)


def _tube_conditions(netlist: Netlist, results: Results) -> list[str]:
    rows = []
    names = [name for name in _present(results) if results.operating[name].sections]
    for section_ in netlist.sections:
        rating = section_.section.rating()
        cells = []
        for name in names:
            point = results.operating[name].sections.get(section_.ref)
            if point is None:
                cells.append("out")
                continue
            share = 100.0 * point.plate_watts / rating.plate_watts.value if rating and rating.plate_watts else None
            cells.append(f"{show_volts(point.plate_volts)}, {show_amps(point.plate_amps)}, {percent(share)}")
        if any(cell != "out" for cell in cells):
            rows.append((section_.ref, *cells))
    return table(("tube", *(SHORT.get(name, name) for name in names)), rows)


def _nodes(netlist: Netlist, results: Results) -> list[str]:
    rows = []
    for name in netlist.nets:
        if name != "0" and name in results.nominal.volts:
            rows.append((name, *(show_volts(_clean(results.operating[c].volts.get(name, 0.0))) for c in _present(results))))
    return table(("net", *_named(results)), rows)


def _clean(volts: float) -> float:
    """A microvolt on a grid is what the solver leaves of nothing."""
    return 0.0 if abs(volts) < 1e-5 else volts
