"""Random amps for the drawing: any stages in any order that the language allows, before any of the three frozen output stages."""

from __future__ import annotations

import random
from typing import Any

import yaml

from support.amps import dump
from support.signal_amps import text_of

LAST = {"pipit": "", "ruff": "long-tailed-pair", "whimbrel": "cathodyne"}
"""Frozen amp -> its phase inverter."""

MIDDLE = (
    "common-cathode",
    "common-cathode",
    "pentode-gain",
    "cathode-follower",
    "volume",
    "master-volume",
    "bass-cut",
    "two-knob-tone",
    "three-knob-tone",
    "treble-cut",
    "feedback-tone",
    "effects-loop",
    "network",
)

AMPLIFYING = ("common-cathode", "pentode-gain")

PASSIVE = (
    "volume",
    "master-volume",
    "bass-cut",
    "two-knob-tone",
    "three-knob-tone",
    "treble-cut",
    "feedback-tone",
    "effects-loop",
    "network",
)
"""Behind these a DC path to ground stands: no follower and no inverter may come next."""

LEADS_DIRECT = (*AMPLIFYING, "cathode-follower", "volume")
"""What a three-knob tone may stand behind: its own capacitors hold DC back, and what is before them needs a DC path."""


def chain(seed: int) -> str:
    """The text of an amp: one of the frozen ones with another signal path of 1 to 7 stages between input and output."""
    pick = random.Random(seed)
    name = pick.choice(tuple(LAST))
    tree: dict[str, Any] = yaml.load(text_of(name), yaml.BaseLoader)
    tree.pop("feedback", None)
    with_path(tree, LAST[name], pick)
    return dump(tree)


def with_path(tree: dict[str, Any], inverter: str, pick: random.Random, wanted: str = "") -> None:
    """Gives a spec another signal path: input, gain stage, 0 to 7 stages, and the inverter ("" for one output tube).

    wanted: a kind of MIDDLE that must be there. Tubes that lose their work go, sections that are left over are grounded.
    """
    tree.pop("unused", None)
    spent = {tube for stage in tree["signal"] for tube in [str(stage.get("tube", "")).rstrip("ab")] if tube}
    kept = {ref: kind for ref, kind in tree["tubes"].items() if ref not in spent}
    sections = _sections(pick)
    nodes = [str(node["node"]) for node in tree["supply"]["filter"]][1:]
    kinds = ["input", "common-cathode", *_middle(pick)]
    if wanted and wanted not in kinds:
        kinds += [wanted] if kinds[-1] in LEADS_DIRECT[:-1] else ["common-cathode", wanted]
    if kinds[-1] in PASSIVE:  # what follows has a grid above ground, or the leak of an output tube: it wants a coupling capacitor
        kinds.append("common-cathode")
    stages = []
    for number, kind in enumerate(kinds):
        before = kinds[number - 1] if number else ""
        stages.append(_stage(kind, number, before, sections, pick.choice(nodes), pick))
    _couple(stages)
    if inverter:
        stages.append(_inverter(inverter, sections, pick.choice(nodes), pick))
        tail = tree.get("modulation", {}).get("injection", {}).get("point") == "inverter-tail"
        if inverter == "long-tailed-pair" and not tail:  # no other inverter has one
            _paraphase(tree, stages[-1], random.Random(pick.getrandbits(32)))
    tree["signal"] = stages
    used = [s["tube"] for s in stages if "tube" in s]
    pentodes = {s["tube"] for s in stages if s["stage"] == "pentode-gain"}
    tubes = sorted({tube.rstrip("ab") for tube in used}, key=lambda ref: int(ref[1:]))
    tree["tubes"] = kept | {tube: "EF86" if tube in pentodes else "12AX7" for tube in tubes}
    free = [f"{t}{s}" for t in tubes if t not in pentodes for s in "ab" if t not in used and f"{t}{s}" not in used]
    others = _free_sections(tree, kept)
    if free or others:
        tree["unused"] = dict.fromkeys((*free, *others), "ground")


def _sections(pick: random.Random) -> list[str]:
    """Sections to take from the end, from V10 on so that no frozen tube has the number."""
    found = [f"V{number}{letter}" for number in range(10, 20) for letter in "ab"]
    return found[::-1]


def _free_sections(tree: dict[str, Any], kept: dict[str, str]) -> list[str]:
    """Sections of the kept twin triodes that nothing uses."""
    text = dump({key: value for key, value in tree.items() if key not in ("tubes", "signal")})
    return [f"{ref}{s}" for ref, kind in kept.items() if kind.startswith("12A") for s in "ab" if f"{ref}{s}" not in text]


def _middle(pick: random.Random) -> list[str]:
    """No passive stage twice in a row, and no follower behind one: its grid stands above ground and wants a coupling capacitor."""
    found: list[str] = []
    for _ in range(pick.randint(0, 6)):
        before = found[-1] if found else "common-cathode"
        choice = [k for k in MIDDLE if k in AMPLIFYING or (k != before and _fits(k, before))]
        found.append(pick.choice(choice))
    return found


def _fits(kind: str, before: str) -> bool:
    if kind == "cathode-follower":
        return before not in PASSIVE
    return kind != "three-knob-tone" or before in LEADS_DIRECT


def _stage(kind: str, number: int, before: str, sections: list[str], node: str, pick: random.Random) -> dict[str, Any]:
    """before: the kind that feeds it."""
    stage: dict[str, Any] = {"stage": kind, "id": f"s{number}"}

    def maybe(**values: str) -> dict[str, str]:
        return {key: value for key, value in values.items() if pick.random() < 0.5}

    match kind:
        case "input":
            stage |= {"grid_leak": "1M"} | maybe(grid_stopper="68k")
        case "common-cathode":
            stage |= {"tube": sections.pop(), "supply": node, "plate_load": "100k 1W flameproof", "cathode_resistor": "1k5"}
            stage |= maybe(cathode_bypass="22u 63V", grid_stopper="10k")
            stage |= {} if number == 1 or (before == "volume" and pick.random() < 0.5) else {"grid_leak": "1M"}
        case "pentode-gain":
            stage |= {"tube": f"V{30 + number}", "supply": node, "plate_load": "220k 1W flameproof", "screen_resistor": "1M 0.5W"}
            stage |= {"cathode_resistor": "2k2", "grid_leak": "1M"}
            stage |= maybe(cathode_bypass="22u 63V", cathode_unbypassed="470", screen_bypass_to="cathode", screen_bypass="47n 400V")
        case "cathode-follower":
            stage |= {"tube": sections.pop(), "supply": node, "cathode_resistor": "100k 1W", "grid_leak": "1M"}
            stage |= maybe(grid_stopper="10k")
            stage |= maybe(bias_resistor="1k5")
        case "volume":
            stage |= {"pot": "1M audio", "control": f"{pick.choice(('VOLUME', 'DRIVE', 'MASTER VOLUME'))} {number}"}
        case "master-volume":
            stage |= {"pot": "500k audio", "control": f"MASTER {number}"}
        case "bass-cut":
            stage |= {"capacitor": "1n 630V", "pot": "1M reverse-audio", "control": f"BASS CUT {number}"}
        case "three-knob-tone":
            stage |= {"treble": "250k audio", "bass": "1M audio", "middle": "25k linear", "treble_control": f"TREBLE {number}"}
            stage |= {"bass_control": f"BASS {number}", "middle_control": f"MIDDLE {number}", "treble_capacitor": "250p 630V"}
            stage |= {"bass_capacitor": "100n 630V", "middle_capacitor": "47n 630V"} | maybe(slope="47k 0.5W")
        case "feedback-tone":
            stage |= {"tube": sections.pop(), "supply": node, "plate_load": "100k 1W flameproof", "cathode_resistor": "1k5"}
            stage |= {"bass": "1M linear", "treble": "1M linear", "bass_control": f"BASS {number}", "treble_control": f"TREBLE {number}"}
            stage |= {"bass_capacitor": "2n2 630V", "treble_capacitor": "220p 630V"}
            stage |= maybe(cathode_bypass="22u 63V", grid_stopper="10k", bass_end="47k", treble_end="22k", grid_leak="2M2")
        case "treble-cut":
            stage |= {"capacitor": "4n7 630V", "pot": "1M audio", "control": f"TONE {number}"}
        case "effects-loop":
            stage["send"] = maybe(series="220k", shunt="22k")
            stage["send"] |= {"pot": "25k linear", "control": f"SEND {number}"} if pick.random() < 0.5 else {}
            stage["return"] = maybe(leak="1M")
            stage["return"] |= {"pot": "1M audio", "control": f"RETURN {number}"} if pick.random() < 0.5 else {}
        case "network":
            return stage | {"parts": _parts(number, pick)}
        case _:
            stage |= {"bass": "1M audio", "treble": "250k audio", "bass_slope": "100k", "bass_upper": "2n2 630V"}
            stage |= {
                "bass_control": f"BASS {number}",
                "treble_control": f"TREBLE {number}",
                "bass_lower": "22n 630V",
                "treble_upper": "250p 500V",
                "treble_lower": "4n7 630V",
            }
    return stage


def _parts(number: int, pick: random.Random) -> list[dict[str, Any]]:
    """A pad in the signal, with some of: a capacitor over it, a part to ground, a pot that hangs on the input, a part between far nets."""
    more: list[dict[str, Any]] = [
        {"part": "capacitor", "value": "470p 500V", "nets": ["in", "out"]},
        {"part": "capacitor", "value": "1n 630V", "nets": ["in", "ground"]},
        {"part": "pot", "value": "1M audio", "control": f"TRIM {number}", "nets": ["ground", "in", "in"]},
        {"part": "capacitor", "value": "100p 500V", "nets": ["s1.plate", "s1.cathode"]},
        {"part": "diode", "value": "1N4007", "nets": ["out", "ground"]},
    ]
    pad = [{"part": "resistor", "value": "220k", "nets": ["in", "out"]}, {"part": "resistor", "value": "470k", "nets": ["out", "ground"]}]
    return pad + [part for part in more if pick.random() < 0.4]


def _couple(stages: list[dict[str, str]]) -> None:
    """A coupling capacitor behind every tube but one that feeds a three-knob tone."""
    for stage, after in zip(stages, [*stages[1:], {"stage": ""}], strict=True):
        if "tube" in stage:
            stage["coupling"] = "direct" if after["stage"] == "three-knob-tone" else "47n 630V"


def _inverter(kind: str, sections: list[str], node: str, pick: random.Random) -> dict[str, str]:
    stage = {"stage": kind, "id": "inverter", "supply": node, "coupling": "100n 630V", "cathode_resistor": "1k5", "grid_leak": "1M"}
    if pick.random() < 0.5:
        stage["grid_stopper"] = "47k"
    if kind == "cathodyne":
        return stage | {"tube": sections.pop(), "load": "56k 1W"}
    while sections[-1].endswith("b"):
        sections.pop()
    stage["tube"] = sections.pop().rstrip("a")
    return stage | {"plate_load_a": "82k 1W", "plate_load_b": "91k 1W", "tail": "22k 1W", "grid_bypass": "100n 400V"}


def _paraphase(tree: dict[str, Any], stage: dict[str, Any], pick: random.Random) -> None:
    """Makes a long-tailed pair another inverter, or leaves it; a tremolo at the output grids goes with a paraphase."""
    kind = pick.choice(("long-tailed-pair", "paraphase", "floating-paraphase", "interstage-transformer"))
    if kind == "long-tailed-pair":
        return
    for key in ("plate_load_a", "plate_load_b", "tail", "grid_bypass"):
        stage.pop(key)
    if kind == "interstage-transformer":
        stage.pop("coupling")
        transformer = {"ratio": pick.choice(("1.5", "3")), "primary_inductance": "40 H", "gap_current": "12 mA"}
        stage |= {"stage": kind, "tube": f"{stage['tube']}a", "transformer": transformer}
        return
    stage |= {"stage": kind, "plate_load": "100k 1W"} | ({"cathode_bypass": "22u 25V"} if pick.random() < 0.5 else {})
    stage |= {"divider": {"upper": "470k", "lower": "10k"}} if kind == "paraphase" else {"seesaw": {"a": "470k", "b": "510k", "leak": "1M"}}
    tree.pop("modulation", None)
