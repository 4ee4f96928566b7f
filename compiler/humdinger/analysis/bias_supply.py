"""The supply of a fixed bias: how long it takes to be there, and what the amp draws without it.

Delay: the first moment of the step response from the bias rectifier to an output grid, -H'(0)/H(0) = (Y^-1 C Y^-1 b)/(Y^-1 b), in the
circuit linearised at nominal mains (Elmore, 1948, from memory: a chain of RC sections is half-way there before that time).

Without bias: the filtered output shorted to ground, as by its last capacitor; an open rectifier ends there too. The rest of the amp is
solved with it, so the B+ sags and the tubes draw what it then lets them.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ..circuit.netlist import GROUND, Fuse, Netlist
from ..records import replace
from .fuses import fuse_rms_amps
from .operating import operating_of
from .results import BiasSupply, Operating
from .study import Study
from .variants import Change, Variant, as_solved, short
from .windings import Consumers, mains_budget, winding_budgets

KIND = "fixed-bias"


def lost_changes(netlist: Netlist) -> list[tuple[Change, ...]]:
    """The variant `bias_supply` reads: the filtered bias shorted to ground. Empty without fixed bias."""
    nets = [stage.ports["negative"] for stage in netlist.stages_of(KIND) if "negative" in stage.ports]
    return [tuple(short(net, GROUND) for net in nets)] if nets and netlist.power_sections else []


def bias_supply(study: Study, variants: list[Variant], heaters: Mapping[str, Consumers]) -> BiasSupply | None:
    """From the variant of `lost_changes`. heaters: winding name -> who takes how much, for the mains current."""
    if not variants:
        return None
    settle = _settle_seconds(study)
    if not variants[0].good:
        return BiasSupply(settle)
    netlist = study.netlist
    lost = operating_of(as_solved(variants[0], lost_changes(netlist)[0]))
    rectifier = lost.rectifiers.get("high-tension")
    return BiasSupply(
        settle_seconds=settle,
        lost_dc_amps=rectifier.dc_amps if rectifier else None,
        lost_plate_watts={ref: lost.sections[ref].plate_watts for ref in netlist.power_sections if ref in lost.sections},
        lost_fuse_amps=_fuse_amps(study, lost, heaters),
    )


def _settle_seconds(study: Study) -> float | None:
    """Of the slowest output grid; None when the bias does not reach one."""
    netlist, found = study.netlist, study.playing
    stage = next(iter(netlist.stages_of(KIND)), None)
    start = found.system.index.get(stage.ports.get("reservoir", "")) if stage else None
    grids = [found.system.index[g] for ref in netlist.power_sections if (g := netlist.by_section[ref].grid) in found.system.index]
    if start is None or not grids:
        return None
    side = np.zeros(found.system.size)
    side[start] = 1.0
    final = np.linalg.solve(found.Y, side)
    moment = np.linalg.solve(found.Y, found.C @ final)
    delays = [float(moment[g] / final[g]) for g in grids if abs(final[g]) > 0.0]
    return max(delays, default=None)


def _fuse_amps(study: Study, lost: Operating, heaters: Mapping[str, Consumers]) -> dict[str, float]:
    """Rms amps in every fuse of the B+ supply and of the mains."""
    windings = winding_budgets(replace(study, operating={**study.operating, "nominal": lost}), heaters)
    primary = mains_budget(study.netlist, lost, windings).primary_rms_amps
    found: dict[str, float] = {}
    for fuse in study.netlist.of(Fuse):
        amps = primary if fuse.where == "mains" else fuse_rms_amps(study.netlist, fuse, lost)
        if amps is not None:
            found[fuse.ref] = amps
    return found
