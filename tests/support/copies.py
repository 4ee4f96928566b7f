"""Several copies of an amp in one netlist, for measuring cost against size."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from humdinger.circuit.netlist import EARTH, GROUND, Netlist, Part, Pot, Rectifier, StageInstance, TubeSection

SHARED = (GROUND, EARTH, "")


def copies(netlist: Netlist, count: int) -> Netlist:
    """count copies side by side: designators, nets and stage ids of copy k begin with "k:"; ground and earth are common."""
    made = [_copy(netlist, k) for k in range(1, count + 1)]
    first = made[0]
    return replace(
        first,
        parts=tuple(p for m in made for p in m.parts),
        sections=tuple(s for m in made for s in m.sections),
        rectifiers=tuple(r for m in made for r in m.rectifiers),
        nets={name: net for m in made for name, net in m.nets.items()},
        stages=tuple(s for m in made for s in m.stages),
        controls=tuple(c for m in made for c in m.controls),
        power_sections=tuple(s for m in made for s in m.power_sections),
        b_plus=tuple(b for m in made for b in m.b_plus),
    )


def _copy(netlist: Netlist, k: int) -> Netlist:
    def name(text: str) -> str:
        return text if text in SHARED else f"{k}:{text}"

    return replace(
        netlist,
        parts=tuple(_part(p, name) for p in netlist.parts),
        sections=tuple(_section(s, name) for s in netlist.sections),
        rectifiers=tuple(_rectifier(r, name) for r in netlist.rectifiers),
        nets={name(n): replace(net, name=name(n)) for n, net in netlist.nets.items()},
        stages=tuple(_stage(s, name) for s in netlist.stages),
        controls=tuple(replace(c, name=name(c.name), ref=name(c.ref)) for c in netlist.controls),
        input_net=name(netlist.input_net),
        output_net=name(netlist.output_net),
        power_sections=tuple(name(s) for s in netlist.power_sections),
        b_plus=tuple(name(b) for b in netlist.b_plus),
    )


def _part(part: Part, name: Any) -> Part:
    changes: dict[str, Any] = {
        "ref": name(part.ref),
        "stage": name(part.stage),
        "pins": tuple(replace(pin, net=name(pin.net)) for pin in part.pins),
    }
    if isinstance(part, Pot):
        changes["control"] = name(part.control)
    return replace(part, **changes)


def _section(section: TubeSection, name: Any) -> TubeSection:
    nets = {key: name(getattr(section, key)) for key in ("ref", "tube", "stage", "plate", "grid", "cathode", "screen", "suppressor")}
    return replace(section, **nets)


def _rectifier(rectifier: Rectifier, name: Any) -> Rectifier:
    named = {key: name(getattr(rectifier, key)) for key in ("id", "plus", "minus", "middle", "transformer", "reservoir")}
    return replace(rectifier, **named, devices=tuple(name(d) for d in rectifier.devices))


def _stage(stage: StageInstance, name: Any) -> StageInstance:
    return replace(
        stage,
        id=name(stage.id),
        ports={port: name(net) for port, net in stage.ports.items()},
        parts={role: name(ref) for role, ref in stage.parts.items()},
        facts={key: _fact(value, name) for key, value in stage.facts.items()},
    )


def _fact(value: object, name: Any) -> object:
    """Facts name nets and designators as plain text, or in tuples of them."""
    if isinstance(value, str):
        return name(value)
    if isinstance(value, tuple):
        return tuple(_fact(item, name) for item in value)
    return value
