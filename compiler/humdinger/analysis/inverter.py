"""Balance of the phase inverter, as loaded in the working amp."""

from __future__ import annotations

import cmath
import math

from ..circuit.netlist import StageInstance
from .drive import Drive
from .results import Inverter
from .study import Study

FOOT = {
    "long-tailed-pair": "tail",
    "cathodyne": "bias",
    "paraphase": "cathode",
    "floating-paraphase": "cathode",
    "interstage-transformer": "cathode",
}
"""The port above the resistance that both outputs share, or that makes one of them; elsewhere the cathode resistor."""
KINDS = tuple(FOOT)


def inverter_balance(study: Study, at: Drive | None) -> Inverter | None:
    """The first phase inverter at 1 kHz; None when there is none or the input does not reach it."""
    stage = next((s for s in study.netlist.stages if s.kind in KINDS and {"in", "out-a", "out-b"} <= set(s.ports)), None)
    if stage is None or at is None:
        return None
    return _balance(study, stage, at)


def _balance(study: Study, stage: StageInstance, at: Drive) -> Inverter | None:
    start, a, b = (at.volts.get(stage.ports[port], 0j) for port in ("in", "out-a", "out-b"))
    if min(abs(start), abs(a), abs(b)) <= 0.0:
        return None
    gain_a, gain_b = abs(a / start), abs(b / start)
    # both phases against a perfect half turn
    error = math.degrees(cmath.phase(-a / b))
    volts = study.nominal.volts
    foot = volts.get(stage.ports.get(FOOT[stage.kind], ""), 0.0)
    supply = volts.get(stage.ports.get("supply", ""), 0.0)
    return Inverter(
        stage=stage.id,
        kind=stage.kind,
        net_a=stage.ports["out-a"],
        net_b=stage.ports["out-b"],
        gain_a=gain_a,
        gain_b=gain_b,
        imbalance=(gain_a - gain_b) / (0.5 * (gain_a + gain_b)),
        phase_error_degrees=error,
        tail_volts=foot,
        tail_share=foot / supply if supply else 0.0,
    )
