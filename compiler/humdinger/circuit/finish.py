"""The end of elaboration: everything on the workbench becomes the frozen netlist."""

from __future__ import annotations

import re

from ..records import replace
from ..spec.design import BoundTube
from .builder import Builder
from .netlist import Netlist, Part, Pin, Rectifier, StageInstance, Tube, TubeSection

OUTPUT_NET = "speaker.hot"


def finish(builder: Builder) -> Netlist:
    """The netlist: parts ordered by class letter and number, every net under its one name, nets that join nothing left out."""
    parts = [*builder.parts, *(_tube(builder, bound) for bound in builder.design.tubes.values())]
    parts = sorted((_on_roots(builder, part) for part in parts), key=designator_order)
    stages = tuple(_stage(builder, stage) for stage in builder.stages)
    used = {pin.net for part in parts for pin in part.pins}
    spec = builder.design.spec
    sections = tuple(_section(builder, section) for section in builder.sections)
    return Netlist(
        name=builder.design.name,
        region=builder.design.region,
        mains_hertz=builder.design.mains_hertz,
        parts=tuple(parts),
        sections=sections,
        rectifiers=tuple(_rectifier(builder, found) for found in builder.rectifiers),
        nets={name: net for name, net in builder.nets.items() if name in used},
        stages=stages,
        controls=tuple(builder.controls),
        defaults=tuple(builder.defaults),
        input_net=next((s.ports.get("in", "") for s in stages if s.kind == "input"), ""),
        output_net=builder.root(OUTPUT_NET),
        bias_scheme=str(spec.block("bias").get("scheme", "")),
        power_sections=tuple(s.ref for s in sections if s.stage == "output"),
        b_plus=tuple(str(node.get("node")) for node in spec.block("supply").blocks("filter")),
        places=dict(builder.given),
    )


def designator_order(part: Part) -> tuple[str, int, str]:
    """C1, C2 ... C10, D1: by class letters, then by number."""
    found = re.fullmatch(r"([A-Z]+)([0-9]+)(.*)", part.ref)
    if found is None:
        return (part.ref, 0, "")
    return (found.group(1), int(found.group(2)), found.group(3))


def _tube(builder: Builder, bound: BoundTube) -> Tube:
    """The tube as a part: the pins its sections and its heater put on nets, in pin order. IC pins carry no electrode, so none shows."""
    pins = builder.tube_pins.get(bound.ref, {})
    home = next((s.stage for s in builder.sections if s.tube == bound.ref and not s.unused), "")
    if not home and any(bound.ref in found.devices for found in builder.rectifiers):
        home = "rectifier"
    return Tube(
        ref=bound.ref,
        path=bound.path,
        stage=home or "unused",
        role="tube",
        span=bound.span,
        pins=tuple(Pin(number, pins[number]) for number in sorted(pins, key=int)),
        label=bound.type.name,
        type=bound.type,
        heater=builder.heater_of.get(bound.ref, ""),
    )


def _on_roots(builder: Builder, part: Part) -> Part:
    if not any(pin.net in builder.joined for pin in part.pins):
        return part
    return replace(part, pins=tuple(Pin(pin.name, builder.root(pin.net)) for pin in part.pins))


def _section(builder: Builder, section: TubeSection) -> TubeSection:
    names = ("plate", "grid", "cathode", "screen", "suppressor")
    return replace(section, **{name: builder.root(getattr(section, name)) for name in names})


def _rectifier(builder: Builder, found: Rectifier) -> Rectifier:
    return replace(found, **{name: builder.root(getattr(found, name)) for name in ("plus", "minus", "middle")})


def _stage(builder: Builder, stage: StageInstance) -> StageInstance:
    return replace(stage, ports={name: builder.root(net) for name, net in stage.ports.items()})
