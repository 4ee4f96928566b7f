"""The amp at full drive, by proportion: what moves how far when the output grids swing by their bias.

Small-signal ratios at 1 kHz, so a stage that clips before is not seen here; its operating point tells that.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..circuit.netlist import GROUND, LEVELS, Pot, TubeSection
from ..records import record, replace
from ..units.taper import track_fraction
from .results import Sensitivity
from .smallsignal import GAIN_HERTZ, SmallSignal, linearise
from .study import Study
from .variants import added, moved_wiper


@record
class Drive:
    """Complex volts of every net per volt at the input, 1 kHz; `full`: input volts peak that drive the output grids by their bias."""

    volts: Mapping[str, complex]
    full: float
    grid_peak_volts: float


def drive(study: Study, found: SmallSignal) -> Drive | None:
    """The amp at 1 kHz; None without output tubes, or when the input does not reach their grids."""
    netlist, system = study.netlist, found.system
    if netlist.input_net not in system.index or not netlist.power_sections:
        return None
    nets = list(system.index)
    row = found.transfer(netlist.input_net, nets, [GAIN_HERTZ])[0]
    volts: dict[str, complex] = {GROUND: 0j} | {net: complex(v) for net, v in zip(nets, row, strict=True)}
    sections = [netlist.by_section[ref] for ref in netlist.power_sections]
    to_grid = max(abs(volts[s.grid] - volts[s.cathode]) for s in sections)
    bias = max(abs(study.nominal.sections[s.ref].grid_volts) for s in sections)
    if to_grid <= 1e-9:
        return None
    return Drive(volts, bias / to_grid, bias)


def cathode_swing(study: Study, at: Drive | None) -> Mapping[str, float]:
    """Section -> peak volts its cathode moves against ground at full drive, no more than its resistors let it."""
    if at is None:
        return {}
    used = (s for s in study.netlist.sections if not s.unused)
    return {s.ref: min(abs(at.volts.get(s.cathode, 0j)) * at.full, _farthest(study, s)) for s in used}


def _farthest(study: Study, section: TubeSection) -> float:
    """How far a cathode can go from its idle volts: down to where the tube is cut off, up to where it is as good as a short (derived).

    A master volume that is turned down asks for more at the inverter than there is; the proportion of small signals knows no end.
    Both resistors are those the idle current sees (idle volts over idle amps), so a tail shared by two tubes counts twice and the end comes
    out too far, never too near. No end where the cathode rests below ground or the stage names no supply.
    """
    volts, point = study.nominal.volts, study.nominal.sections.get(section.ref)
    supply = study.netlist.stage(section.stage).ports.get("supply", "")
    if point is None or point.cathode_amps <= 0.0 or supply not in volts:
        return float("inf")
    here = volts.get(section.cathode, 0.0)
    if here < 0.0:
        return float("inf")
    below, above = here / point.cathode_amps, (volts[supply] - volts.get(section.plate, 0.0)) / point.cathode_amps
    top = volts[supply] * below / (below + above) if below + above > 0.0 else here
    return max(top - here, here)


def at_controls(study: Study, **moved: float) -> SmallSignal:
    """The linearised amp with pots moved that carry no direct current: the operating point stays, only the linear part changes.

    moved: panel name -> shaft position.
    """
    base = study.solved["nominal"]
    netlist = study.netlist
    changes = [
        change
        for pot in netlist.of(Pot)
        if (position := moved.get(pot.control)) is not None
        for change in moved_wiper(base.system, pot, track_fraction(pot.taper, position))
    ]
    return linearise(replace(base, Y=added(base.system, base.Y, changes)))


def volume_controls(study: Study) -> tuple[str, ...]:
    """The panel names of all volume pots."""
    refs = {ref for kind in LEVELS for stage in study.netlist.stages_of(kind) for ref in stage.parts.values()}
    return tuple(c.name for c in study.netlist.controls if c.ref in refs)


def sensitivity(study: Study, at: Drive | None) -> Sensitivity | None:
    """Input volts rms for full drive: as the controls stand, and with every volume turned up."""
    if at is None:
        return None
    names = volume_controls(study)
    full = drive(study, at_controls(study, **dict.fromkeys(names, 1.0))) if names else at
    if full is None:
        return None
    return Sensitivity(
        drive_peak_volts=at.grid_peak_volts,
        volts_rms=at.full / 2**0.5,
        volts_rms_full=full.full / 2**0.5,
        controls=dict(study.nominal.condition.controls),
    )
