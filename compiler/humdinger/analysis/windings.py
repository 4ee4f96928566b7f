"""What every winding of the power transformer carries, and what that makes of the mains current.

A winding is judged in the basis its maker's amps are given in: rms amps against an rms rating; direct amps against a rating that
already means a capacitor-input or choke-input rectifier. The rms amps of a rectifier's winding are those of the computed charging pulse,
not of a factor from a table. Volt-amps are rated volts times rms amps, of both halves of a centre-tapped winding. At full drive: the direct
amps of `OutputLoad` times the form factor of idle.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..circuit.netlist import Netlist, PowerTransformer, Winding
from .results import MainsBudget, Operating, WindingBudget
from .study import Study
from .supply import DC_FORM_FACTORS

LOSS_SHARE = 0.10
"""Copper and iron of a small power transformer over its load: 5 to 15 % (common practice), the middle of it."""

Consumers = tuple[tuple[str, float], ...]


def winding_budgets(study: Study, heaters: Mapping[str, Consumers], full_drive_amps: float | None = None) -> tuple[WindingBudget, ...]:
    """Every winding with its load at nominal mains, all tubes in. heaters: winding name -> who takes how much (HeaterBudget).

    full_drive_amps: direct amps of the B+ rectifier at full drive, as `OutputLoad` has them.
    """
    return tuple(_budget(study, heaters, t, w, full_drive_amps) for t in study.netlist.of(PowerTransformer) for w in t.windings)


def _budget(
    study: Study, heaters: Mapping[str, Consumers], transformer: PowerTransformer, winding: Winding, full: float | None
) -> WindingBudget:
    netlist, nominal = study.netlist, study.nominal
    if winding.kind == "heater":
        consumers = heaters.get(winding.name, ())
        rms, direct, form = sum(amps for _, amps in consumers), None, None
        halves = 1.0
    else:
        fed = [r for r in netlist.rectifiers if r.transformer == transformer.ref and r.winding == winding.name]
        points = [nominal.rectifiers[r.id] for r in fed if r.id in nominal.rectifiers]
        # Pulses of several rectifiers on one winding fall together at the crest, so their rms amps add.
        rms = sum(p.winding_rms_amps for p in points)
        direct = sum(abs(p.dc_amps) for p in points)
        form = rms / direct if direct > 0.0 else None
        consumers = tuple((r.id, abs(nominal.rectifiers[r.id].dc_amps)) for r in fed if r.id in nominal.rectifiers)
        halves = 2.0 if any(r.arrangement == "full-wave" for r in fed) else 1.0
    doubled = winding.kind == "high-tension" and any(r.arrangement == "doubler" for r in netlist.rectifiers)
    driven = full if full is not None and form is not None and winding.kind == "high-tension" else None
    driven_rms = form * driven if driven is not None and form is not None else None
    return WindingBudget(
        transformer=transformer.ref,
        winding=winding.name,
        volts=winding.volts,
        rated_amps=winding.amps,
        basis=winding.basis,
        rms_amps=rms,
        dc_amps=direct,
        form_factor=form,
        percent=_percent(winding, rms, direct, doubled),
        volt_amps=halves * winding.volts * rms,
        consumers=consumers,
        full_drive_rms_amps=driven_rms,
        full_drive_percent=_percent(winding, driven_rms, driven, doubled) if driven_rms is not None else None,
    )


def _percent(winding: Winding, rms: float, direct: float | None, doubled: bool = False) -> float | None:
    """Percent of the rating in its own basis; None when the basis is not known.

    A rating in direct amps says nothing of a doubler, which draws both half cycles for one current: it is turned into rms by the form
    factor of a bridge, which is what the maker had in mind for a winding without a tap.
    """
    if winding.amps <= 0.0:
        return None
    if doubled and winding.basis in ("dc-capacitor-input", "dc-choke-input"):
        return 100.0 * rms / (winding.amps * DC_FORM_FACTORS[winding.basis, "doubler"])
    if direct is None or winding.basis == "rms":
        return 100.0 * rms / winding.amps
    if winding.basis in ("dc-capacitor-input", "dc-choke-input"):
        return 100.0 * direct / winding.amps
    return None


def mains_budget(netlist: Netlist, nominal: Operating, budgets: tuple[WindingBudget, ...]) -> MainsBudget:
    """Volt-amps, watts and primary rms amps at nominal mains.

    Primary amps = (load volt-amps + losses)/mains; losses are LOSS_SHARE of the load. Watts: direct power of every rectifier with the
    drop of its devices, heaters, losses.
    """
    load = sum(b.volt_amps for b in budgets)
    driven = load + sum(b.volt_amps * (b.full_drive_rms_amps / b.rms_amps - 1.0) for b in budgets if b.full_drive_rms_amps and b.rms_amps)
    known = any(b.full_drive_rms_amps is not None for b in budgets)
    losses = LOSS_SHARE * load
    kinds: Mapping[tuple[str, str], str] = {(t.ref, w.name): w.kind for t in netlist.of(PowerTransformer) for w in t.windings}
    heater = sum(b.volt_amps for b in budgets if kinds[b.transformer, b.winding] == "heater")
    direct = {r.id: nominal.rectifiers[r.id] for r in netlist.rectifiers if r.id in nominal.rectifiers}
    watts = {name: abs(p.dc_amps) * (abs(p.dc_volts) + p.device_drop_volts) for name, p in direct.items()}
    high = sum(w for r in netlist.rectifiers if (w := watts.get(r.id)) and kinds[r.transformer, r.winding] == "high-tension")
    return MainsBudget(
        volt_amps=load + losses,
        watts=sum(watts.values()) + heater + losses,
        primary_rms_amps=(load + losses) / nominal.condition.mains_volts,
        high_tension_watts=high,
        heater_watts=heater,
        loss_watts=losses,
        full_drive_rms_amps=(1.0 + LOSS_SHARE) * driven / nominal.condition.mains_volts if known else None,
    )
