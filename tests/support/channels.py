"""Dunlin or pipit with two channels: a second jack, gain stage and volume, joined with the first by a mixer."""

from __future__ import annotations

import json

import yaml

from support.amps import changed

SECOND = """
- {stage: input, id: second-guitar, grid_leak: 1M, grid_stopper: 33k}
- {stage: common-cathode, id: other, tube: V3a, supply: NODE, plate_load: 220k 1W, cathode_resistor: 2k2, cathode_bypass: 22u 63V,
   coupling: 10n 630V}
- {stage: volume, id: other-level, pot: 1M audio, control: VOLUME 2}
- {stage: mixer, id: sum, inputs: [{from: level}, {from: other-level, resistor: 220k}]}
"""


def channel_changes(text: str, node: str) -> dict[str, str]:
    """What makes a spec one of two channels: the second stands between its volume (stage 3) and its driver."""
    stages = yaml.load(text, yaml.BaseLoader)["signal"]
    stages[4:4] = yaml.load(SECOND.replace("NODE", node), yaml.BaseLoader)
    return {
        "signal": json.dumps(stages),
        "tubes/V3": "12AX7",
        "unused": "{V3b: ground}",
        "supply/transformer/heaters/0/current": "1.5 A",
        "supply/mains/fuse": "T 500mA H 250V",
    }


def two_channels(text: str, node: str) -> str:
    """The spec with a second channel."""
    return changed(text, channel_changes(text, node))
