"""What the speakers make of the tap they hang on: inside alone, and with a cabinet in the extension jack.

Impedances are taken as resistances; those of the speakers and the closed contacts of the jacks between the tap and circuit ground are
reduced by Kirchhoff's law, so that series, parallel and rows come out of the netlist and not out of a word.
"""

from __future__ import annotations

import numpy as np

from ..circuit.netlist import GROUND, Jack, Netlist, OutputTransformer, Speaker, StageInstance, Tap
from .results import OutputLoad, SpeakerLoad

INSIDE, WITH, ALONE = "inside", "inside and extension", "extension"


def presented_ohms(netlist: Netlist, net: str) -> float | None:
    """Ohms from a net to circuit ground through speakers and closed contacts, the jacks of the extension empty; None without a way."""
    contacts = [(j, pin.net) for j in netlist.of(Jack) if j.purpose == "speaker" for pin in j.pins if pin.name == "tip-switch"]
    behind = {contact: jack.net("tip") for jack, contact in contacts if contact != GROUND}  # one net while nothing is plugged in
    edges = [(behind.get(s.net("+"), s.net("+")), behind.get(s.net("-"), s.net("-")), s.ohms) for s in netlist.of(Speaker)]
    reached = {net}
    while beyond := {n for a, b, _ in edges if {a, b} & (reached - {GROUND}) for n in (a, b)} - reached:
        reached |= beyond
    if GROUND not in reached or net == GROUND:
        return None
    at = {name: k for k, name in enumerate(sorted(reached - {GROUND}))}
    y = np.zeros((len(at), len(at)))
    for a, b, ohms in edges:
        for one, other in ((a, b), (b, a)):
            if one in at:
                y[at[one], at[one]] += 1.0 / ohms
                if other in at:
                    y[at[one], at[other]] -= 1.0 / ohms
    return float(np.linalg.inv(y)[at[net], at[net]])


def speaker_tap(netlist: Netlist, transformer: OutputTransformer) -> tuple[Tap, float]:
    """The tap the speakers hang on and what they present there; the highest tap with its nominal ohms when nothing is on one."""
    for tap in transformer.taps:
        ohms = presented_ohms(netlist, transformer.net(tap.pin))
        if ohms is not None:
            return tap, ohms
    last = transformer.taps[-1]
    return last, last.ohms


def _shorts(netlist: Netlist, stage: StageInstance) -> bool:
    """Whether the jack of the speakers inside shorts the line while it is empty: beside it no cabinet plays alone."""
    jack = netlist.by_ref.get(stage.parts.get("jack", ""))
    return isinstance(jack, Jack) and jack.switched


def speaker_loads(netlist: Netlist, load: OutputLoad | None) -> tuple[SpeakerLoad, ...]:
    """The speakers as built first, then each way to use the extension jack. Empty without an output transformer."""
    transformer = next(netlist.of(OutputTransformer), None)
    stage = next(iter(netlist.stages_of("speaker")), None)
    if transformer is None or stage is None or not transformer.taps:
        return ()
    tap, inside = speaker_tap(netlist, transformer)
    ways = [(INSIDE, inside)]
    extension = stage.facts.get("extension_ohms")
    if isinstance(extension, float):
        if stage.facts.get("extension") == "parallel":
            ways.append((WITH, 1.0 / (1.0 / inside + 1.0 / extension)))
        if stage.facts.get("extension") == "switching" or (stage.facts.get("connection") == "jack" and not _shorts(netlist, stage)):
            ways.append((ALONE, extension))
    best = load.optimum_ohms if load else None
    return tuple(
        SpeakerLoad(
            state=state,
            tap=tap.pin,
            tap_ohms=tap.ohms,
            ohms=ohms,
            load_ohms=tap.turns_ratio**2 * ohms,
            optimum_ohms=best,
            ratio=tap.turns_ratio**2 * ohms / best if best else None,
        )
        for state, ohms in ways
    )
