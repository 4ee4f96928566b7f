"""Network: plain parts between named nets, for what no other stage covers.

What it does: puts resistors, capacitors, pots and diodes where the spec says. What leads to the net `out` feeds the next stage; a
network without `out` hangs on the amp's nets and lets the signal pass by.

When to use it: a bright capacitor over a volume, a tone control of your own, a snubber, a clipper, a bleeder. Where a stage kind exists
take that: its page knows what to check.

Nets: `in` is what feeds the network, `out` its output, `ground` circuit ground; `B3` a B+ node; `first.plate` a net of another stage by
the stage's id; any other word is a net of this network alone.

Formulas: none of its own; the solver takes every part as any other of the amp.

Limits: no net of the mains, of a winding or of protective earth. Every net needs a DC path to ground and at least two ends. Nothing
watches over what the network is for: rules that judge a stage by its kind do not know it.

Defaults: none; a pot carries the name its `control` says.
"""

from __future__ import annotations

from ...diagnostics import nearest_all
from ...spec.model import Block, Field
from ..builder import PASSED_ON as PASSED_ON
from ..builder import Builder, Scope
from ..netlist import GROUND, Diode, Pin

KIND = "network"
SECTION = "preamp"

REACHED = ("signal", "supply", "bias", "speaker", "ground")
"""Domains of the nets a network may name."""


def elaborate(scope: Scope) -> None:
    """Ports: in and out where the parts use them, and net-WORD for every other. Roles: the parts' names, else kind and number."""
    blocks = scope.block.blocks("parts")
    used = {str(item.value) for block in blocks for item in block.items("nets")}
    if "in" in used:
        scope.port("in", scope.fed())
    if "out" in used:
        scope.port("out", scope.net("out"))
    count: dict[str, int] = {}
    for block in blocks:
        kind = str(block.get("part"))
        count[kind] = count.get(kind, 0) + 1
        name = block.get("name")
        _part(scope, block, kind, str(name) if name else f"{kind}-{count[kind]}")


def _part(scope: Scope, block: Block, kind: str, role: str) -> None:
    nets = [_net(scope, item) for item in block.items("nets")]
    if len(nets) != (3 if kind == "pot" else 2):
        return  # the schema has said so
    match kind:
        case "resistor":
            scope.resistor("value", nets[0], nets[1], role=role, block=block)
        case "capacitor":
            scope.capacitor("value", nets[0], nets[1], role=role, block=block)
        case "pot":
            scope.pot("value", nets[0], nets[1], nets[2], control=str(block.get("control")), role=role, block=block)
        case "diode":
            _diode(scope, block, nets, role)


def _diode(scope: Scope, block: Block, nets: list[str], role: str) -> None:
    found, origin, span, path = scope.value("value", None, block)
    kind = scope.design.diodes.get(str(found))
    if kind is not None:
        pins = (Pin("a", nets[0]), Pin("k", nets[1]))
        scope.keep(Diode, "diode", role=role, path=path, span=span, origin=origin, pins=pins, type=kind)


def _net(scope: Scope, item: Field) -> str:
    """The net a word stands for."""
    word = str(item.value)
    if word == "ground":
        return GROUND
    if word in ("in", "out"):
        return scope.ports[word]
    # a prefix keeps a word such as `plate` from being taken for the port of that name
    if word[0] == "B" and word[1:].isdigit():
        return scope.port(f"net-{word}", scope.builder.net(word, "supply"))
    if "." in word:
        return scope.port(f"net-{word}", scope.builder.borrow(word, item.span))
    return scope.port(f"net-{word}", scope.net(word))


def check_borrowed(builder: Builder) -> None:
    """Nets of other stages that networks name: there are such nets, and they are no nets of the mains or of a winding."""
    for name, spans in builder.borrowed.items():
        net = builder.nets[name]
        known = [
            other for other, found in builder.nets.items() if found.domain in REACHED and "." in other and other not in builder.promised
        ]
        for span in spans:
            if name in builder.promised:
                near = nearest_all(name, known) or [other for other in known if other.startswith(f"{name.partition('.')[0]}.")]
                helps = (f"there are {', '.join(sorted(near)[:5])}",) if near else ("`humdinger solve` lists the nets of an amp",)
                builder.problem("ELB-060", "no-such-net", f"no stage has a net {name}", span, "a net of another stage?", helps=helps)
            elif net.domain not in REACHED:
                builder.problem(
                    "ELB-061",
                    "network-out-of-bounds",
                    f"a network may not reach {name}: it is a net of the {net.domain.replace('-', ' ')}",
                    span,
                    notes=("mains, windings, heaters and protective earth have sections of their own under `supply` and `grounding`",),
                )
