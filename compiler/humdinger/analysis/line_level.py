"""What a line out gives while the speaker gets the amp's clean power, at 1 kHz."""

from __future__ import annotations

import math

import numpy as np

from .results import LineLevel, OutputLoad
from .smallsignal import GAIN_HERTZ
from .speakers import presented_ohms
from .study import Study


def line_level(study: Study, load: OutputLoad | None) -> LineLevel | None:
    """The open jack: share of the speaker's voltage, volts rms at the clean power, source resistance. None without a line out."""
    stage = next(iter(study.netlist.stages_of("line-out")), None)
    if stage is None:
        return None
    found, hot, tip = study.playing, stage.ports["in"], stage.ports["out"]
    share = float(abs(found.transfer(hot, [tip], [GAIN_HERTZ])[0, 0]))
    side = np.zeros(found.system.size)
    side[found.system.index[tip]] = 1.0
    ohms = float(abs(found.response(side, [GAIN_HERTZ])[0, found.system.index[tip]]))
    speaker = presented_ohms(study.netlist, hot)
    volts = share * math.sqrt(load.clean_watts * speaker) if load is not None and speaker else None
    return LineLevel(jack=stage.parts.get("jack", ""), share=share, volts_rms=volts, source_ohms=ohms)
