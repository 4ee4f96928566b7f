"""A netlist with other designators and values: long ones, as a big amp of many parts would have them."""

from __future__ import annotations

import random
from dataclasses import fields, replace
from typing import Any

from humdinger.circuit.netlist import Capacitor, Fuse, Netlist, Part, Pot, Resistor, Switch

OHMS = (1.0, 47.0, 470.0, 680.0, 2200.0, 4700.0, 12100.0, 47500.0, 100e3, 220e3, 681e3, 1e6, 2.2e6, 10e6)
WATTS = (None, 0.25, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 25.0)
FARADS = (10e-12, 47e-12, 250e-12, 2.2e-9, 4.7e-9, 22e-9, 100e-9, 220e-9, 470e-9, 1e-6, 4.7e-6, 47e-6, 220e-6, 2200e-6)
VOLTS = (None, 25.0, 63.0, 100.0, 400.0, 450.0, 500.0, 630.0, 1000.0)
KINDS = ("film", "wirewound", "flameproof", "fusible", "carbon")
TAPERS = ("linear", "audio", "reverse-audio")


def stressed(netlist: Netlist, seed: int) -> tuple[Netlist, dict[str, float]]:
    """The same circuit with designators up to three digits, random values, and a voltage on every net."""
    pick = random.Random(seed)
    names = _names(netlist, pick)
    made = replace(
        netlist,
        parts=tuple(_part(part, names, pick) for part in netlist.parts),
        rectifiers=tuple(
            replace(
                r,
                devices=tuple(names.get(d, d) for d in r.devices),
                transformer=names.get(r.transformer, r.transformer),
                reservoir=names.get(r.reservoir, r.reservoir),
            )
            for r in netlist.rectifiers
        ),
        stages=tuple(replace(s, parts={role: names.get(ref, ref) for role, ref in s.parts.items()}) for s in netlist.stages),
    )
    volts = {net: pick.choice((1, -1)) * 10 ** pick.uniform(-3, 2.7) for net in netlist.nets}
    return made, {net: round(value, 2) for net, value in volts.items()}


def _names(netlist: Netlist, pick: random.Random) -> dict[str, str]:
    """Old designator -> new one. Tubes keep theirs, which name their sections."""
    found: dict[str, str] = {}
    for part in netlist.parts:
        letters = part.ref.rstrip("0123456789")
        if letters == "V":
            continue
        while (name := f"{letters}{pick.randint(1, 500)}") in found.values():
            pass
        found[part.ref] = name
    return found


def _part(part: Part, names: dict[str, str], pick: random.Random) -> Part:
    changes: dict[str, Any] = {"ref": names.get(part.ref, part.ref)}
    if isinstance(part, Resistor):
        changes |= {"ohms": pick.choice(OHMS), "watts": pick.choice(WATTS), "technology": pick.choice(KINDS)}
    elif isinstance(part, Capacitor):
        changes |= {"farads": pick.choice(FARADS), "volts": pick.choice(VOLTS)}
    elif isinstance(part, Pot):
        changes |= {"ohms": pick.choice(OHMS), "taper": pick.choice(TAPERS), "watts": pick.choice(WATTS)}
    elif isinstance(part, Fuse) and part.where != "thermal":
        changes |= {"amps": pick.choice((0.032, 0.315, 0.5, 1.25, 3.15)), "volts": pick.choice((250.0, 500.0, 1000.0))}
    elif isinstance(part, Switch):
        changes |= {"volts": pick.choice((125.0, 250.0)), "amps": pick.choice((0.5, 4.0, 16.0))}
    assert {f.name for f in fields(part)} >= set(changes)
    return replace(part, **changes)
