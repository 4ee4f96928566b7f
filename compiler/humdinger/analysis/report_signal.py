"""The blocks of the text report about signal, bias and tremolo."""

from __future__ import annotations

import cmath
import math

from ..circuit.netlist import Capacitor, Netlist
from ..units import show_amps, show_decibels, show_farads, show_henries, show_hertz, show_ohms, show_seconds, show_volts, show_watts
from .report_table import maybe, percent, table
from .results import Results, Tremolo

SHOWN_HERTZ = (20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0, 10000.0, 20000.0)
MOST_POLES = 10


def gain_lines(results: Results) -> list[str]:
    """Gain of every stage as loaded."""
    rows = [
        (g.stage, g.from_net, g.to_net, f"{g.gain:.3g}", show_decibels(g.gain_db), f"{g.phase_degrees:.0f}°")
        for g in results.gains
        if math.isfinite(g.gain_db)
    ]
    return table(("stage", "from", "to", "gain", "", "phase"), rows, left=3)


def response_lines(netlist: Netlist, results: Results) -> list[str]:
    """Gain to the speaker over frequency; the computed frequency nearest to each round one, so no value is interpolated."""
    rows = []
    for found in results.responses:
        picked = dict.fromkeys(min(range(len(found.hertz)), key=lambda k, f=f: abs(math.log(found.hertz[k] / f))) for f in SHOWN_HERTZ)
        for k in picked:
            value = complex(found.real[k], found.imag[k])
            size = abs(value)
            decibels = show_decibels(20.0 * math.log10(size)) if size > 0.0 else "-"
            rows.append((found.net, show_hertz(found.hertz[k]), f"{size:.3g}", decibels, f"{math.degrees(cmath.phase(value)):.0f}°"))
    return table(("to", "frequency", "gain", "", "phase"), rows)


def output_lines(results: Results) -> list[str]:
    """Input corner and sensitivity, inverter balance, load and power."""
    rows: list[tuple[str, str]] = []
    if results.input_low_pass_hertz is not None:
        rows.append(("treble corner at the first grid", show_hertz(results.input_low_pass_hertz)))
    found = results.sensitivity
    if found is not None:
        rows.append(("drive of the output grids to their bias", f"{show_volts(found.drive_peak_volts)} peak"))
        rows.append(("input for that, controls as they stand", f"{show_volts(found.volts_rms)} rms"))
        rows.append(("input for that, every volume full", f"{show_volts(found.volts_rms_full)} rms"))
    for loop in results.loops:
        for name, jack, volts, ohms in (
            ("gives", loop.send_jack, loop.send_volts_rms, loop.send_ohms),
            ("asks for", loop.return_jack, loop.return_volts_rms, loop.return_ohms),
        ):
            if volts is not None:
                rows.append((f"{jack} of {loop.stage} {name}, at full drive", f"{show_volts(volts)} rms, {show_ohms(ohms)}"))
    if results.bass_corner_hertz is not None:
        rows.append(("bass corners of the coupling capacitors, summed", show_hertz(results.bass_corner_hertz)))
    loop = results.feedback
    if loop is not None:
        rows.append(
            (
                f"feedback over {loop.resistor}",
                f"{show_decibels(loop.loop_db)}: gain {loop.gain_open:.3g} open, {loop.gain_closed:.3g} closed",
            )
        )
    pair = results.inverter
    if pair is not None:
        rows.append((f"inverter {pair.stage}, gain to either side", f"{pair.gain_a:.2f} and {pair.gain_b:.2f}"))
        rows.append(("its imbalance", percent(100.0 * pair.imbalance)))
        rows.append(("its phase error", f"{pair.phase_error_degrees:.2f}°"))
        rows.append(("volts at its foot", f"{show_volts(pair.tail_volts)}, {percent(100.0 * pair.tail_share)} of its supply node"))
    load = results.load
    if load is not None:
        rows.append((f"load on the {load.tap} ohm tap, {load.topology}", show_ohms(load.load_ohms)))
        if load.optimum_ohms is not None and load.ratio is not None:
            rows.append(
                ("published load nearest this point", f"{show_ohms(load.optimum_ohms)} ({load.optimum_source}), ratio {load.ratio:.2f}")
            )
        if load.class_b_watts is not None:
            rows.append(("plate dissipation bound, class B, per tube", show_watts(load.class_b_watts)))
        if load.least_henries is not None:
            rows.append(("primary inductance for 82 Hz at -3 dB", show_henries(load.least_henries)))
        if load.full_drive_dc_amps is not None:
            rows.append(("B+ current at that power, supply stiff", show_amps(load.full_drive_dc_amps)))
        rows.append(("clean power, about", f"{show_watts(load.clean_watts)}: {load.formula}"))
    return table(("what", "value"), rows, left=2)


def corner_lines(netlist: Netlist, results: Results) -> list[str]:
    """Bass corner of every coupling capacitor."""
    rows = []
    for corner in results.corners:
        part = netlist.by_ref[corner.capacitor]
        value = show_farads(part.farads) if isinstance(part, Capacitor) else ""
        rows.append(
            (corner.capacitor, part.stage, value, show_hertz(corner.hertz), show_ohms(corner.source_ohms), show_ohms(corner.load_ohms))
        )
    return table(("capacitor", "stage", "value", "corner", "source", "load"), rows, left=2)


def bias_lines(results: Results) -> list[str]:
    """Range of a fixed bias, or the cathode resistors at work and with a tube shorted."""
    lines: list[str] = []
    span = results.bias_range
    if span is not None:
        for name, volts, idle in (
            ("coldest", span.coldest_volts, span.idle_percent_cold),
            ("hottest", span.hottest_volts, span.idle_percent_hot),
        ):
            shares = ", ".join(f"{ref} {percent(value)}" for ref, value in idle.items())
            lines.append(f"  {name}: {show_volts(volts)} at the grids, idle plate dissipation {shares}")
        lines.append(f"  wiper lifted: {show_volts(span.wiper_open_volts)} at the grids")
    rows = [
        (
            b.resistor,
            " ".join(b.sections),
            show_volts(b.volts),
            show_watts(b.watts),
            b.shorted_section,
            show_volts(b.shorted_volts),
            show_watts(b.shorted_watts),
        )
        for b in results.cathode_biases
    ]
    supply = results.bias_supply
    if supply is not None:
        if supply.settle_seconds is not None:
            lines.append(f"  the grids follow the bias winding after {show_seconds(supply.settle_seconds)}")
        if supply.lost_dc_amps is not None:
            watts = ", ".join(f"{ref} {show_watts(value)}" for ref, value in supply.lost_plate_watts.items())
            fuses = ", ".join(f"{ref} {show_amps(value)} rms" for ref, value in supply.lost_fuse_amps.items())
            lines.append(f"  bias lost: B+ {show_amps(supply.lost_dc_amps)}, plates {watts}" + (f", fuses {fuses}" if fuses else ""))
    return lines + table(("resistor", "tubes", "volts", "watts", "shorted tube", "volts then", "watts then"), rows, left=2)


def tremolo_lines(results: Results) -> list[str]:
    """Start margin over the speed control, then what the wave does at the output grids."""
    wave = results.tremolo
    if wave is None:
        return []
    rows = [
        (
            f"{10.0 * p.position:g}",
            show_hertz(p.hertz),
            f"{p.gain_required:.1f}",
            f"{p.gain_available:.1f}",
            f"{p.gain_available_aged:.1f}",
            f"{p.margin:.2f}",
            "starts" if p.starts else "does not start",
            f"{p.pole.real:.2f} ± {abs(p.pole.imag):.1f}j /s",
        )
        for p in wave.points
    ]
    head = (wave.speed_control or "position", "rate", "gain needed", "gain", "gain, aged tube", "margin", "", "pole")
    return table(head, rows) + _wave_lines(wave)


def _wave_lines(wave: Tremolo) -> list[str]:
    rows = [
        ("slowest and fastest rate", f"{show_hertz(wave.slow_hertz)} to {show_hertz(wave.fast_hertz)}"),
        ("margin, worst tolerances, cold heaters", _worst(wave)),
        ("slowest start", maybe(show_seconds, wave.start_seconds)),
        ("swing of the oscillator's plate, about", maybe(lambda v: f"{show_volts(v)} peak", wave.plate_peak_volts)),
        ("injection", wave.injection or "-"),
        ("loss from there to the output grids, slowest rate", maybe(show_decibels, wave.injection_loss_db)),
        ("available at the grids", maybe(lambda v: f"{show_volts(v)} peak", wave.available_peak_volts)),
        ("needed for 6 dB of depth", maybe(lambda v: f"{show_volts(v)} peak", wave.needed_peak_volts)),
    ]
    if (run := wave.running) is not None:
        rows.append(("depth at full intensity, slowest rate", f"{run.depth_db:.1f} dB from softest to loudest (m = {run.depth:.2f})"))
        rows.append(("of the wave at the speaker, no signal", f"{show_volts(run.idle_output_peak_volts)} peak"))
        if (cell := run.cell) is not None:
            rows.append((f"{cell.ref}, bright and dark", f"{show_ohms(cell.bright_ohms)} and {show_ohms(cell.dark_ohms)}"))
            rows.append((f"{cell.ref}, tremolo off", f"{show_ohms(cell.rest_ohms)} at {show_amps(cell.rest_amps)}"))
        rows += [
            (f"grid of {e.section}", f"{show_volts(e.lowest_grid_volts)} to {show_volts(e.highest_grid_volts)}") for e in run.excursions
        ]
    for ref, share in wave.retained.items():
        solved = wave.retained_solved.get(ref)
        rows.append((f"left of it by the cathode of {ref}", f"{share:.2f} by the formula, {maybe(lambda v: f'{v:.2f}', solved)} solved"))
    lines = table(("", ""), rows, left=2)[1:]
    # seen on three circuits stepped through time with ngspice, margins 2 to 3
    lines.append("  the rate is where the loop's phase is 0; at margins of 2 and more the running oscillator is 5 to 15 % slower")
    return lines


def _worst(wave: Tremolo) -> str:
    if wave.worst_margin is None or wave.worst_position is None:
        return "-"
    return f"{wave.worst_margin:.2f} at {10.0 * wave.worst_position:g}"


def pole_lines(results: Results) -> list[str]:
    """The slowest and the unstable ones; how many there are."""
    if not results.poles:
        return []
    right = sum(1 for p in results.poles if p.real > 0.0)
    verdict = "none in the right half plane" if not right else f"{right} in the right half plane: it oscillates"
    lines = [f"  {len(results.poles)} poles, {verdict}"]
    for p in results.poles[:MOST_POLES]:
        rate = f", {show_hertz(abs(p.imag) / (2.0 * math.pi))}" if abs(p.imag) > 0.0 else ""
        lines.append(f"  {p.real:.4g} {'+' if p.imag >= 0 else '-'} {abs(p.imag):.4g}j /s{rate}")
    return lines
