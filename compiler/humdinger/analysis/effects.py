"""Effects loops: what a device finds at the send and the return, at 1 kHz, with a plug in both jacks."""

from __future__ import annotations

import numpy as np

from ..circuit.netlist import GROUND
from ..records import replace
from .drive import Drive
from .results import LoopLevel
from .smallsignal import GAIN_HERTZ, SmallSignal, linearise
from .study import Study
from .variants import added, removed


def loop_levels(study: Study, at: Drive | None) -> tuple[LoopLevel, ...]:
    """Every effects loop, in signal order. Levels are rms for full drive of the output grids; None where the loop does not reach them."""
    netlist, base = study.netlist, study.solved["nominal"]
    rows = []
    for stage in netlist.stages_of("effects-loop"):
        send, back = stage.parts.get("send-jack", ""), stage.parts.get("return-jack", "")
        opened = removed(base.system, back)
        found = linearise(replace(base, Y=added(base.system, base.Y, opened)))
        tip, came = stage.ports["out-send"], stage.ports["return"]
        out = float(abs(found.transfer(netlist.input_net, [tip], [GAIN_HERTZ])[0, 0])) if netlist.input_net in found.system.index else 0.0
        needed = _needed(study, found, came, at)
        gives = out * at.full / 2**0.5 if at is not None else None
        rows.append(
            LoopLevel(
                stage=stage.id,
                send_jack=send,
                return_jack=back,
                send_volts_rms=gives,
                send_ohms=_looks_into(found, tip),
                return_volts_rms=needed,
                return_ohms=_looks_into(found, came),
                device_gain=needed / gives if needed is not None and gives else None,
            )
        )
    return tuple(rows)


def _needed(study: Study, found: SmallSignal, net: str, at: Drive | None) -> float | None:
    """Volts rms on a net that move the output grids by their bias."""
    if at is None:
        return None
    sections = [study.netlist.by_section[ref] for ref in study.netlist.power_sections]
    nets = [n for s in sections for n in (s.grid, s.cathode)]
    row = found.transfer(net, [n if n in found.system.index else GROUND for n in nets], [GAIN_HERTZ])[0]
    most = max((float(abs(row[k] - row[k + 1])) for k in range(0, len(row), 2)), default=0.0)
    return at.grid_peak_volts / most / 2**0.5 if most > 1e-9 else None


def _looks_into(found: SmallSignal, net: str) -> float:
    """Ohms (magnitude) between a net and circuit ground at 1 kHz."""
    side = np.zeros(found.system.size)
    side[found.system.index[net]] = 1.0
    return float(abs(found.response(side, [GAIN_HERTZ])[0, found.system.index[net]]))
