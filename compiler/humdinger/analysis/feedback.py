"""What the feedback loop does: gain to the speaker with the loop open and closed, as the bring-up measures it.

Open means what the builder does: the resistor's end at the speaker lifted. So the loop factor has the resistor's own small loading in it.
"""

from __future__ import annotations

import math

from ..circuit.netlist import Resistor
from ..records import replace
from .results import FeedbackLoop
from .smallsignal import GAIN_HERTZ, SmallSignal
from .study import Study
from .variants import added


def feedback_loop(study: Study) -> FeedbackLoop | None:
    """None without feedback, or when no signal reaches the speaker."""
    netlist, closed = study.netlist, study.playing
    stage = next(iter(netlist.stages_of("feedback")), None)
    part = netlist.by_ref.get(stage.parts.get("resistor", "")) if stage else None
    if not isinstance(part, Resistor) or netlist.input_net not in closed.system.index or netlist.output_net not in closed.system.index:
        return None
    gains = [abs(found.transfer(netlist.input_net, [netlist.output_net], [GAIN_HERTZ])[0, 0]) for found in (_opened(closed, part), closed)]
    if min(gains) <= 0.0:
        return None
    return FeedbackLoop(
        resistor=part.ref,
        gain_open=float(gains[0]),
        gain_closed=float(gains[1]),
        loop_db=20.0 * math.log10(gains[0] / gains[1]),
    )


def _opened(found: SmallSignal, part: Resistor) -> SmallSignal:
    """The amp without that resistor."""
    a, b = (pin.net for pin in part.pins)
    return replace(found, Y=added(found.system, found.Y, [(a, b, -1.0 / part.ohms)]))
