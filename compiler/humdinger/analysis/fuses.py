"""What heats the fuses and the wires of the B+ supply: rms amps, where the charging pulses pass.

A fuse in one end of the winding carries the pulses of that half; in the tap's lead, and between rectifier and reservoir, those of all legs
pass, sqrt 2 times as much as in each end of a full-wave winding; behind the reservoir the direct amps. At full drive and in a fault the
direct amps are known and the pulses are taken in the form of idle, which is a little high: pulses widen with the load.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ..circuit.netlist import Fuse, Netlist, PowerTransformer
from .results import CathodeBias, FuseLoad, Operating
from .study import Study

HIGH_TENSION = "high-tension"
CORNERS = ("nominal", "high", "low")


def fuse_rms_amps(netlist: Netlist, fuse: Fuse, operating: Operating) -> float | None:
    """rms amps in an HT fuse; None without a high-tension rectifier."""
    solved, point = operating.parts.get(fuse.ref), operating.rectifiers.get(HIGH_TENSION)
    if solved is not None:
        return solved.amps
    if point is None:
        return None
    nets = {pin.net for pin in fuse.pins}
    ends = {t.net(pin) for t in netlist.of(PowerTransformer) for w in t.windings for pin in (w.pins[0], w.pins[2]) if pin}
    return point.winding_rms_amps if nets & ends else point.charging_rms_amps


def fuse_loads(study: Study, full_drive_dc_amps: float | None, biases: Iterable[CathodeBias]) -> tuple[FuseLoad, ...]:
    """Every HT fuse. full_drive_dc_amps: of the rectifier, as `OutputLoad` has it."""
    netlist, rectifier = study.netlist, study.nominal.rectifiers.get(HIGH_TENSION)
    direct = rectifier.dc_amps if rectifier else 0.0
    found = []
    for fuse in netlist.of(Fuse):
        if fuse.where != HIGH_TENSION:
            continue
        idle = {name: amps for name in CORNERS if (amps := fuse_rms_amps(netlist, fuse, study.operating[name])) is not None}
        factor = idle["nominal"] / direct if "nominal" in idle and direct > 0.0 else None
        driven = factor * full_drive_dc_amps if factor is not None and full_drive_dc_amps is not None else None
        shorted: Mapping[str, float] = {}
        if factor is not None:
            shorted = {b.resistor: factor * b.shorted_dc_amps for b in biases if b.shorted_dc_amps is not None}
        found.append(FuseLoad(fuse.ref, idle, driven, shorted))
    return tuple(found)


def charging_rms_amps(study: Study, full_drive_dc_amps: float | None) -> float | None:
    """Of the loop that charges the B+ reservoir, all legs together; None without a high-tension rectifier."""
    nominal = study.nominal.rectifiers.get(HIGH_TENSION)
    if nominal is None:
        return None
    found = [point.rectifiers[HIGH_TENSION].charging_rms_amps for point in study.operating.values() if HIGH_TENSION in point.rectifiers]
    if full_drive_dc_amps is not None and nominal.dc_amps > 0.0:
        found.append(nominal.charging_rms_amps * full_drive_dc_amps / nominal.dc_amps)
    return max(found)
