"""Where a stage of the signal path stands in the spec."""

from __future__ import annotations

from collections.abc import Mapping

from ..circuit.netlist import Resistor
from ..diagnostics import Span
from ..records import record
from .model import Case

LEAST_GAIN = 5.0
"""Below it a common-cathode stage of a guitar amp does not amplify (common practice: 10 to 60)."""
HIGHEST, LOWEST = 92.0, 25.0
"""Percent of its B+ node beyond which a plate is as good as on the node, or as good as on the cathode (common practice)."""


@record
class IdleStage:
    """A common-cathode stage that does not amplify: where its plate rests in percent of its node, its gain, the key that is to blame."""

    id: str
    percent: float
    gain: float
    key: str


def idle_stage(case: Case) -> IdleStage | None:
    """The first stage whose plate rests at one end and which gains next to nothing; None when every one amplifies."""
    volts = case.results.nominal.volts
    gains = {row.stage: row.gain for row in case.results.gains}
    for stage in case.netlist.stages_of("common-cathode"):
        plate, node, gain = volts.get(stage.ports["plate"]), volts.get(stage.ports["supply"]), gains.get(stage.id)
        if plate is None or not node or gain is None or gain >= LEAST_GAIN:
            continue
        percent = 100.0 * plate / node
        if not LOWEST <= percent <= HIGHEST:
            return IdleStage(stage.id, percent, gain, blamed(case, stage.parts))
    return None


def blamed(case: Case, parts: Mapping[str, str]) -> str:
    """The key of the part that is out of proportion: a plate load below its own cathode resistor, else the cathode resistor."""
    load, under = (case.netlist.by_ref.get(parts.get(role, "")) for role in ("plate-load", "cathode-resistor"))
    small = isinstance(load, Resistor) and isinstance(under, Resistor) and load.ohms < under.ohms
    return "plate_load" if small else "cathode_resistor"


def at_stage(case: Case, id: str, key: str) -> Span:
    """The span of a key of the stage with that id; of the stage where the key is not written."""
    for block in case.spec.blocks("signal"):
        if block.get("id") == id:
            return block.span_of(key) if key in block else block.span
    return case.at("signal")
