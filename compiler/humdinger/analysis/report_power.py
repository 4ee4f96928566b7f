"""The blocks of the text report about the supply, heaters, stored energy, stress and what can be touched."""

from __future__ import annotations

from ..circuit.netlist import Netlist
from ..units import show_amps, show_farads, show_joules, show_ohms, show_seconds, show_volts, show_watts
from .report_table import SHORT, maybe, percent, table
from .results import Results


def rectifier_lines(results: Results) -> list[str]:
    """Every rectifier under load."""
    rows = [
        (
            name,
            show_volts(p.dc_volts),
            show_amps(p.dc_amps),
            show_volts(p.emf_peak_volts),
            show_ohms(p.source_ohms),
            show_amps(p.winding_rms_amps),
            f"{p.form_factor:.2f}",
            show_amps(p.peak_amps),
            show_volts(p.ripple_volts_pp),
            show_volts(p.inverse_peak_volts),
            show_volts(p.inverse_peak_unloaded_volts),
            show_volts(p.device_drop_volts),
            show_volts(p.averaging_volts),
        )
        for name, p in results.nominal.rectifiers.items()
    ]
    head = (
        "rectifier",
        "DC",
        "DC amps",
        "EMF peak",
        "source",
        "winding rms",
        "form",
        "peak",
        "ripple p-p",
        "inverse",
        "unloaded",
        "drop",
        "reads high",
    )
    return table(head, rows)


def winding_lines(results: Results) -> list[str]:
    """Load of every winding in the basis of its rating, and the mains side."""
    rows = [
        (
            f"{w.transformer} {w.winding}",
            show_volts(w.volts),
            show_amps(w.rms_amps),
            maybe(show_amps, w.dc_amps),
            show_amps(w.rated_amps),
            w.basis or "unknown",
            percent(w.percent),
            f"{w.volt_amps:.1f} VA",
            ", ".join(f"{name} {show_amps(amps)}" for name, amps in w.consumers),
        )
        for w in results.windings
    ]
    lines = table(("winding", "volts", "rms", "DC", "rated", "basis", "load", "", "feeds"), rows)
    mains = results.mains
    full = f"{show_amps(mains.full_drive_rms_amps)} at full drive, " if mains.full_drive_rms_amps is not None else ""
    lines.append(
        f"  primary {show_amps(mains.primary_rms_amps)} rms, {full}{mains.volt_amps:.0f} VA; heat in the cabinet {show_watts(mains.watts)}:"
    )
    parts = f"B+ {show_watts(mains.high_tension_watts)}, heaters {show_watts(mains.heater_watts)}, losses {show_watts(mains.loss_watts)}"
    lines.append(f"  {parts}")
    return lines


def heater_lines(results: Results) -> list[str]:
    """Volts at the pins per condition, then heater to cathode of every section."""
    names = list(results.heaters[0].volts) if results.heaters else []
    rows = [
        (
            h.winding,
            show_amps(h.load_amps),
            show_amps(h.rated_amps),
            *(show_volts(h.volts[name]) for name in names),
            "yes" if h.regulation_known else "no",
        )
        for h in results.heaters
    ]
    named = [SHORT.get(name, name) for name in names]
    lines = table(("winding", "load", "rated", *named, "regulation known"), rows)
    cathodes = [
        (
            c.section,
            c.winding,
            "tied" if c.tied else show_volts(_clean(c.volts.get("nominal", 0.0))),
            show_volts(_clean(c.volts_cold_start)),
            show_volts(_clean(c.signal_peak_volts)),
            show_volts(_clean(c.heater_positive_volts)),
            show_volts(_clean(c.cathode_positive_volts)),
        )
        for c in results.heater_cathodes
    ]
    head = ("section", "winding", "heater to cathode", "cold start", "signal peak", "worst, heater positive", "worst, cathode positive")
    return lines + table(head, cathodes, left=2)


def discharge_lines(results: Results) -> list[str]:
    """Every capacitor node that can stand above 60 V."""
    rows = [
        (
            d.net if d.minus == "0" else f"{d.net} - {d.minus}",
            " ".join(d.capacitors),
            d.kind,
            show_farads(d.farads),
            show_volts(d.start_volts),
            show_joules(d.joules),
            "never" if d.seconds is None else show_seconds(d.seconds),
            "never" if d.seconds_alone is None else show_seconds(d.seconds_alone),
            "yes" if d.fixed_path else "no",
            " ".join(d.paths) or "none",
        )
        for d in results.discharges
    ]
    head = ("node", "capacitors", "kind", "value", "start", "energy", "to 60 V", "all opened", "fixed path", "by way of")
    lines = table(head, rows, left=3)
    opened = next((d.opened for d in results.discharges if d.opened), ())
    lines.append(f"  all opened: {', '.join(opened) if opened else 'nothing to open'}; stored in all: {show_joules(results.stored_joules)}")
    return lines


def grid_lines(results: Results) -> list[str]:
    """DC resistance of every grid."""
    rows = [
        (g.section, show_ohms(g.own_ohms), show_ohms(g.shared_ohms), str(g.sharers), show_ohms(g.effective_ohms), g.ends_at or "nowhere")
        for g in results.grid_paths
    ]
    return table(("section", "own", "shared", "by", "effective", "ends at"), rows)


def stress_lines(netlist: Netlist, results: Results) -> list[str]:
    """Every resistor, pot and capacitor in netlist order."""
    rows = []
    for part in netlist.parts:
        found = results.stresses.get(part.ref)
        if found is None:
            continue
        rows.append(
            (
                part.ref,
                part.stage,
                part.role,
                show_volts(_clean(found.worst_volts)),
                SHORT.get(found.volts_condition, found.volts_condition),
                show_volts(_clean(found.cold_volts)),
                show_watts(found.worst_watts if found.worst_watts > 1e-9 else 0.0),
                SHORT.get(found.watts_condition, found.watts_condition) if found.worst_watts > 1e-9 else "",
                show_watts(found.signal_watts if found.signal_watts > 1e-6 else 0.0),
                maybe(show_volts, found.fault_volts),
            )
        )
    return table(("part", "stage", "role", "volts", "in", "cold", "watts", "in", "signal", "tube shorted"), rows, left=3)


def contact_lines(results: Results) -> list[str]:
    """Jack contacts, centre taps, mains paths."""
    rows = [
        (
            f"{c.jack} {c.contact}",
            c.net,
            show_volts(_clean(c.normal_volts)),
            c.normal_condition,
            c.capacitor or "none",
            show_volts(_clean(c.fault_volts)),
            show_amps(c.fault_amps if c.fault_amps > 1e-9 else 0.0),
            maybe(show_ohms, c.path_ohms),
        )
        for c in results.contacts
    ]
    head = ("contact", "net", "volts", "in", "worst capacitor", "shorted", "into 2 kΩ", "to ground")
    lines = table(head, rows, left=2)
    for tap in results.centre_taps:
        way = f" over {' '.join(tap.through)}" if tap.through else ""
        verdict = "legal" if tap.legal else "shorts half the winding"
        lines.append(f"  centre tap of {tap.winding}: {' and '.join(tap.joined) or 'insulated'}{way}, {verdict}")
    for path in results.mains_paths:
        lines.append(f"  not isolated: {path.mains_net} to {path.net} over {' '.join(path.refs)}")
    if not results.mains_paths:
        lines.append("  the mains is isolated from every other net")
    return lines


def _clean(volts: float) -> float:
    return 0.0 if abs(volts) < 1e-5 else volts
