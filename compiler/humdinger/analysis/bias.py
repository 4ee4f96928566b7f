"""Bias of the output tubes: the range of an adjustable fixed bias, a cathode resistor at work and with a tube shorted.

Each row is a solution of the whole amp at nominal mains with one thing changed; the supply sags and the other tubes move with it.
"""

from __future__ import annotations

from ..circuit.netlist import GROUND, Netlist, Pot, Resistor, StageInstance
from ..records import record
from .results import BiasRange, CathodeBias
from .study import Study
from .variants import Change, Variant, lifted_wiper, moved_wiper, short, solve_variants


@record
class CathodeResistor:
    """A cathode resistor of the output stage and the sections on it."""

    ref: str
    net: str
    back: str
    ohms: float
    sections: tuple[str, ...]


def adjustments(netlist: Netlist) -> tuple[Pot, ...]:
    """The bias pots: adjustments of the fixed-bias stage."""
    found = []
    for stage in netlist.stages_of("fixed-bias"):
        parts = [netlist.by_ref[ref] for role, ref in stage.parts.items() if role.startswith("adjustment")]
        found += [p for p in parts if isinstance(p, Pot)]
    return tuple(found)


def bias_changes(study: Study) -> list[tuple[Change, ...]]:
    """The variants `bias_range` reads: every adjustment at its ccw end, at its cw end, with its wiper lifted. Empty without one."""
    pots = adjustments(study.netlist)
    if not pots:
        return []
    system = study.solved["nominal"].system
    ends = [tuple(c for pot in pots for c in moved_wiper(system, pot, fraction)) for fraction in (0.0, 1.0)]
    return [*ends, tuple(c for pot in pots for c in lifted_wiper(system, pot))]


def bias_range(study: Study, variants: list[Variant]) -> BiasRange | None:
    """From the variants of `bias_changes`; None without an adjustment or when one of them has no solution."""
    netlist = study.netlist
    if len(variants) != 3 or not all(v.good for v in variants) or not netlist.power_sections:
        return None
    grids = [[v.volts(netlist.by_section[ref].grid) for ref in netlist.power_sections] for v in variants]
    cold, hot = sorted((0, 1), key=lambda k: sum(grids[k]))
    most, least = _corners(study, float(cold), float(hot))
    return BiasRange(
        coldest_volts=max(grids[cold]),
        hottest_volts=max(grids[hot]),
        wiper_open_volts=max(grids[2]),
        idle_percent_cold=_percents(netlist, variants[cold]),
        idle_percent_hot=_percents(netlist, variants[hot]),
        most_percent_cold=most,
        least_percent_hot=least,
    )


def _corners(study: Study, cold: float, hot: float) -> tuple[float | None, float | None]:
    """Most percent with the wipers at the track fraction `cold` at high mains, least at `hot` at low mains: both rise with the mains."""
    found: list[float | None] = []
    for condition, fraction, pick in (("high", cold, max), ("low", hot, min)):
        base = study.solved[condition]
        change = tuple(c for pot in adjustments(study.netlist) for c in moved_wiper(base.system, pot, fraction))
        variant = solve_variants(base, [change])[0]
        percents = _percents(study.netlist, variant) if variant.good else {}
        found.append(pick(percents.values()) if percents else None)
    return found[0], found[1]


def _percents(netlist: Netlist, variant: Variant) -> dict[str, float]:
    """Power section -> idle plate dissipation in percent of its rating; a section without a rating is left out."""
    found: dict[str, float] = {}
    for ref in netlist.power_sections:
        rating = netlist.by_section[ref].section.rating()
        if rating is not None and rating.plate_watts is not None:
            volts, amps = variant.port(ref, "plate")
            found[ref] = 100.0 * volts * amps / rating.plate_watts.value
    return found


def cathode_resistors(netlist: Netlist) -> tuple[CathodeResistor, ...]:
    """The resistors of the cathode-bias stage that a power section's cathode stands on."""
    stages: tuple[StageInstance, ...] = netlist.stages_of("cathode-bias")
    refs = {ref for stage in stages for ref in stage.parts.values()}
    found = []
    for net in dict.fromkeys(netlist.by_section[ref].cathode for ref in netlist.power_sections):
        on_it = tuple(ref for ref in netlist.power_sections if netlist.by_section[ref].cathode == net)
        for part, pin in netlist.on_net.get(net, ()):
            if isinstance(part, Resistor) and part.ref in refs and net != GROUND:
                back = part.net("2" if pin == "1" else "1")
                found.append(CathodeResistor(part.ref, net, back, part.ohms, on_it))
    return tuple(found)


def shorted_changes(resistors: tuple[CathodeResistor, ...], netlist: Netlist) -> list[tuple[Change, ...]]:
    """One variant per resistor: its first section shorted from plate to cathode."""
    first = [netlist.by_section[r.sections[0]] for r in resistors]
    return [(short(s.plate, s.cathode),) for s in first]


def cathode_biases(study: Study, resistors: tuple[CathodeResistor, ...], variants: list[Variant]) -> tuple[CathodeBias, ...]:
    """From the variants of `shorted_changes`; a resistor whose variant has no solution is left out."""
    nominal = study.nominal.volts
    rows = []
    for resistor, variant in zip(resistors, variants, strict=True):
        if not variant.good:
            continue
        volts = nominal[resistor.net] - nominal[resistor.back]
        shorted = variant.volts(resistor.net) - variant.volts(resistor.back)
        rows.append(
            CathodeBias(
                resistor=resistor.ref,
                sections=resistor.sections,
                volts=volts,
                watts=volts**2 / resistor.ohms,
                shorted_section=resistor.sections[0],
                shorted_volts=shorted,
                shorted_watts=shorted**2 / resistor.ohms,
                shorted_dc_amps=-variant.port("high-tension", "rectifier")[1] if "high-tension" in study.nominal.rectifiers else None,
            )
        )
    return tuple(rows)
