"""Random legal amps over all stage kinds: any signal path before any output, with any supply, for whoever crosses two pictures of one amp.

A new kind joins in one line: a stage of `signal:` in `chains.MIDDLE` (and its case in `chains._stage`), a phase inverter in INVERTERS
(and its case in `chains._inverter`), anything else (output, bias, modulation, supply, heaters, speaker) as a variant in `drawn.VARIANTS`,
which the drawing tests want anyway: every variant that leaves the signal path alone is drawn from here too.
"""

from __future__ import annotations

import random
from typing import Any

import yaml

from support.amps import changed, dump
from support.chains import LAST, MIDDLE, with_path
from support.drawn import VARIANTS
from support.extremes import written
from support.signal_amps import text_of

INVERTERS = ("long-tailed-pair", "cathodyne")

HEADS = ("input", "common-cathode")
"""Kinds that every path begins with."""

WANTED = tuple(dict.fromkeys((*MIDDLE, "mixer")))
"""Kinds that amps are made to have in turn."""

PATH_KEYS = {"signal", "unused", "feedback"}

USABLE = tuple(
    name
    for name, (_, changes) in VARIANTS.items()
    if "tubes" not in changes and not any(path.split("/")[0] in PATH_KEYS for path in changes)
)
"""Variants of all but the signal path, in the order that amps are made to have them."""

VALUES = ("plate_load", "cathode_", "grid_", "screen_", "coupling", "slope", "load", "tail")
"""How the keys begin whose values may be others."""

FACTORS = (0.1, 0.47, 0.68, 1.0, 1.0, 1.5, 2.2, 10.0)

SECOND = (
    "[{stage: input, id: second-guitar, grid_leak: 1M},"
    " {stage: common-cathode, id: second, tube: TUBE, supply: B3, plate_load: 100k 1W flameproof, cathode_resistor: 1k5,"
    " coupling: 22n 630V},"
    " {stage: volume, id: second-level, pot: 1M audio, control: VOLUME 99},"
    " {stage: mixer, id: sum, inputs: [{from: BEFORE}, {from: second-level, resistor: 330k}]}]"
)
"""A second channel and the mixer that joins it with the stage before."""


def random_amp(number: int) -> str:
    """The text of an amp; of a number it is always the same. A variant and a stage kind are in it by turns, others by chance."""
    pick = random.Random(f"amp {number}")
    forced = USABLE[number * 37 % len(USABLE)]
    base = VARIANTS[forced][0]
    text = changed(text_of(base), {"feedback": "~"} if "feedback" in text_of(base) else {})
    for name in (forced, *_more(forced, base, pick)):
        text = changed(text, VARIANTS[name][1])
    tree: dict[str, Any] = yaml.load(text, yaml.BaseLoader)
    wanted = WANTED[number % len(WANTED)]
    inverter = LAST[base] and pick.choice(INVERTERS)
    if tree.get("modulation", {}).get("injection", {}).get("point") == "inverter-tail":
        inverter = "long-tailed-pair"  # the only one with a tail
    with_path(tree, inverter, pick, "" if wanted == "mixer" else wanted)
    if wanted == "mixer" or pick.random() < 0.2:
        _second_channel(tree)
    if pick.random() < 0.5:
        _scatter(tree["signal"], pick)
    if number % len(WANTED) == 0 or pick.random() < 0.2:
        _close_loop(tree, pick)
    for winding in tree["supply"]["transformer"]["heaters"]:
        winding["current"] = "12 A"
    return dump(tree)


def _more(forced: str, base: str, pick: random.Random) -> list[str]:
    """Up to three variants more of the same amp which change nothing that another changes."""
    taken, found = _roots(forced), []
    for name in pick.sample(USABLE, len(USABLE)):
        if len(found) < 3 and VARIANTS[name][0] == base and not taken & _roots(name) and pick.random() < 0.5:
            found.append(name)
            taken |= _roots(name)
    return found


def _roots(name: str) -> set[str]:
    """What of the spec a variant changes: sections, and parts of the supply; a winding belongs to what hangs on it."""
    found = {"/".join(path.split("/")[: 2 if path.startswith("supply") else 1]) for path in VARIANTS[name][1]}
    return found | ({"supply/transformer"} if found & {"supply/rectifier", "supply/ht_fuse", "supply/standby"} else set())


def _close_loop(tree: dict[str, Any], pick: random.Random) -> None:
    """Feedback to the cathode of the last gain stage, which loses its bypass; nobody asks here whether it sings."""
    for stage in reversed(tree["signal"]):
        if stage["stage"] == "common-cathode":
            stage.pop("cathode_bypass", None)
            tree["feedback"] = {"from": "8 ohm", "to": stage["id"], "resistor": "47k", "shunt": "100"}
            if pick.random() < 0.5:
                tree["feedback"]["presence"] = {"capacitor": "1u 100V film", "pot": "1k linear"}
            return


def _second_channel(tree: dict[str, Any]) -> None:
    """Puts the channel behind the first volume, or behind the first gain stage."""
    stages = tree["signal"]
    at = next((k for k, stage in enumerate(stages) if stage["stage"] == "volume"), None)
    if at is None:
        stages.insert(2, {"stage": "volume", "id": "first-level", "pot": "1M audio", "control": "VOLUME 98"})
        stages[1]["coupling"] = "47n 630V"
        at = 2
    more = yaml.load(SECOND.replace("BEFORE", stages[at]["id"]).replace("TUBE", "V40a"), yaml.BaseLoader)
    stages[at + 1 : at + 1] = [*more, *_gain(stages, at + 1)]
    tree["tubes"]["V40"] = "12AX7"
    tree["unused"] = tree.get("unused", {}) | ({} if any(s.get("tube") == "V40b" for s in stages) else {"V40b": "ground"})


def _gain(stages: list[dict[str, Any]], at: int) -> list[dict[str, Any]]:
    """A gain stage behind the mixer where what comes next asks for a tube before it."""
    if at < len(stages) and stages[at]["stage"] in ("common-cathode", "pentode-gain"):
        return []
    stage = "{stage: common-cathode, id: makeup, tube: V40b, supply: B3, plate_load: 100k 1W, cathode_resistor: 1k5, coupling: 47n 630V}"
    made = yaml.load(stage, yaml.BaseLoader) | {"grid_leak": "1M"}
    return [made | {"coupling": "direct"} if at < len(stages) and stages[at]["stage"] == "three-knob-tone" else made]


def _scatter(stages: list[dict[str, Any]], pick: random.Random) -> None:
    """Other values for some resistors and capacitors of the path, within a decade up and down."""
    for stage in stages:
        for key, value in stage.items():
            head, _, rest = str(value).partition(" ")
            ours = key.startswith(VALUES) and head[0].isdigit()
            if ours and pick.random() < 0.4:
                stage[key] = f"{_times(head, pick.choice(FACTORS))} {rest}".strip()


def _times(value: str, factor: float) -> str:
    """4k7 x 10 is 47k."""
    letter = next((c for c in value if c.isalpha()), "")
    number = float(value.replace(letter, ".") if letter else value)
    powers = {"M": 1e6, "k": 1e3, "": 1.0, "u": 1e-6, "n": 1e-9, "p": 1e-12}
    return written(number * powers[letter] * factor, "unp" if letter in ("u", "n", "p") else "Mk ")
