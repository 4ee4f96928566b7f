"""B+ filter: the reservoir and the RC or choke sections behind it, one B+ node each.

What it does: stores the rectifier's pulses and gives every stage a quieter node the farther it is from the rectifier.

When to use it: always. Two stages that share a node can talk to each other through it; two in a row share one node at most.

Formulas: ripple of an RC section falls by 1/sqrt(1+(2*pi*f*R*C)^2), of a choke section by about 1/((2*pi*f)^2*L*C - 1), f twice the mains
frequency (standard filter algebra); the drop across `through` is its resistance times the current of all nodes behind it.

Limits: every capacitor sees the whole cold B+ before the tubes draw current. A bleeder stands right across its capacitor. The first node
is the reservoir: nothing but the HT fuse or the standby switch stands before it. Capacitors in series share the volts by the resistors
across them; while they are charged, by their capacitance: of two of 20 % tolerance one can get 60 % (derived). Behind a fuse or switch
`after-reservoir` the first node is what the loads see, and the reservoir has a net of its own.

Ports: one per node, in lower case (b1, b2 ...), reservoir.
Roles: B1-capacitor, B1-bleeder, B2-through, B2-choke ...; of a series B1-capacitor-1 (uppermost), B1-balancing-1 ...; ht-fuse, standby.
Facts: nodes, feeds, stacks (node -> its capacitors in series, uppermost first).
"""

from __future__ import annotations

from itertools import pairwise

from ...records import replace
from ...spec.model import Block
from ..amounts import amount, words
from ..builder import Scope
from ..netlist import GROUND, Choke, Pin
from ..supply_leads import AFTER_RESERVOIR, BEFORE_CHOKE, BEFORE_RESERVOIR, lead, place_of, stands_in

KIND = "filter"
SECTION = "supply"


def elaborate(scope: Scope) -> None:
    """Ports: b1, b2 ..., reservoir."""
    scope.title = "B+ filter"
    scope.span = scope.block.span_of("filter")
    nodes = [block for block in scope.block.blocks("filter") if isinstance(block.get("node"), str)]
    if not nodes or "rectifier.plus" not in scope.source or not _possible(scope, nodes):
        return
    for block in nodes:
        name = str(block.get("node"))
        scope.port(name.lower(), scope.builder.net(name, "supply", f"B+ node {name}"))
    net = _reservoir(scope, nodes[0])
    if len(nodes) > 1 and stands_in(scope.block, BEFORE_CHOKE):
        switched = scope.builder.net(f"{net}.switched", "supply", f"{net} behind the standby switch")
        lead(scope, BEFORE_CHOKE, net, switched)
        net = switched
    for block in nodes[1:]:
        net = _section(scope, block, net)
    scope.facts["nodes"] = tuple(str(block.get("node")) for block in nodes)
    scope.facts["feeds"] = {str(block.get("node")): words(block, "feeds") for block in nodes}


def _possible(scope: Scope, nodes: list[Block]) -> bool:
    """Whether the chain hangs together; says what does not."""
    problem = scope.builder.problem
    first = nodes[0]
    key = next((key for key in ("choke", "through") if key in first), "")
    if key:
        problem(
            "ELB-046",
            "part-before-reservoir",
            f"{first.get('node')} is the reservoir, but a {'choke' if key == 'choke' else 'resistor'} stands before it",
            first.span_of(key),
            "no reservoir before this",
            notes=("a choke-input filter is not solved by this version; resistance of the rectifier's legs goes into plate_resistors",),
        )
        return False
    if len(nodes) == 1 and place_of(scope.block, "standby") == BEFORE_CHOKE:
        standby = scope.block.block("standby")
        problem(
            "ELB-047",
            "standby-without-second-node",
            "the standby switch is to stand before the second node, and there is none",
            standby.span_of("where"),
            "no node behind it",
        )
        return False
    if scope.source.get("rectifier.middle") and first.get("in_series") != 2:
        count = first.get("in_series", 1)
        problem(
            "ELB-101",
            "doubler-without-two-reservoirs",
            f"a doubler charges two capacitors in series, and {first.get('node')} has {'one' if count == 1 else count}",
            first.span_of("in_series" if "in_series" in first else "capacitor"),
            "one for each half-wave",
            helps=("write in_series: 2 and balancing: 150k 2W, the resistor across each of them",),
            notes=("each is rated for the peak of the winding; the winding's other end is on their joint",),
        )
        return False
    bare = [block for block in nodes[1:] if "choke" not in block and "through" not in block]
    for block in bare:
        problem(
            "ELB-048",
            "unfed-node",
            f"nothing leads to {block.get('node')} from the node before it",
            block.span_of("node"),
            "needs through or choke",
        )
    return not bare


def _reservoir(scope: Scope, block: Block) -> str:
    """Rectifier to the first node; tells the rectifier which capacitor it charges. Returns the first node's net."""
    node = str(block.get("node"))
    net = node
    if stands_in(scope.block, AFTER_RESERVOIR):
        net = scope.builder.net(f"{node}.reservoir", "supply", "reservoir")
    lead(scope, BEFORE_RESERVOIR, scope.source["rectifier.plus"], net)
    capacitor = _shunt(scope, block, net)
    rectifiers = scope.builder.rectifiers
    for at, found in enumerate(rectifiers):
        if found.id == "high-tension":
            rectifiers[at] = replace(found, reservoir=capacitor or "")
    scope.port("reservoir", net)
    if net != node:
        lead(scope, AFTER_RESERVOIR, net, node)
    return node


def _section(scope: Scope, block: Block, before: str) -> str:
    """One RC or choke section. With both a choke and a resistor, the choke comes first."""
    node = str(block.get("node"))
    net = before
    if "choke" in block:
        behind = node
        if "through" in block:
            behind = scope.builder.net(f"{node}.choke", "supply", f"between choke and resistor of {node}")
        _choke(scope, block.block("choke"), node, net, behind)
        net = behind
    if "through" in block:
        scope.resistor("through", net, node, role=f"{node}-through", block=block)
    _shunt(scope, block, node)
    return node


def _choke(scope: Scope, block: Block, node: str, net1: str, net2: str) -> None:
    scope.keep(
        Choke,
        "choke",
        role=f"{node}-choke",
        path=block.path,
        span=block.span,
        pins=(Pin("1", net1), Pin("2", net2)),
        label=f"choke to {node}",
        henries=amount(block, "inductance") or 0.0,
        ohms=amount(block, "resistance") or 0.0,
        amps=amount(block, "current"),
        insulation_volts=amount(block, "insulation"),
    )


def _shunt(scope: Scope, block: Block, net: str) -> str | None:
    """Capacitor and bleeder of a node; the capacitor's designator."""
    node = str(block.get("node"))
    count = block.get("in_series")
    if isinstance(count, int) and count > 1:
        capacitor = _stack(scope, block, node, net, count)
    else:
        capacitor = scope.capacitor("capacitor", net, GROUND, role=f"{node}-capacitor", block=block)
        if "balancing" in block:
            scope.builder.problem(
                "ELB-087",
                "balancing-without-a-series",
                f"{node} has balancing resistors, but its capacitor stands alone",
                block.span_of("balancing"),
                helps=("in_series: 2 beside it, or a bleeder instead",),
            )
    scope.resistor("bleeder", net, GROUND, role=f"{node}-bleeder", block=block)
    return capacitor


def _stack(scope: Scope, block: Block, node: str, net: str, count: int) -> str | None:
    """Capacitors in series from a node to ground, a balancing resistor across each. The uppermost one's designator."""
    if "balancing" not in block:
        scope.builder.problem(
            "ELB-086",
            "series-without-balancing",
            f"{count} capacitors in series on {node} share its volts as their leakage has it, with no resistors across them",
            block.span_of("in_series"),
            "nothing shares the volts out",
            helps=("write balancing: 220k 3W, the resistor across each of them",),
            notes=("the one that leaks least takes the most volts, and fails first; and with a lead off, nothing empties the lower ones",),
        )
    nets = [
        net,
        *(scope.builder.net(f"{node}.series-{k}", "supply", f"{node} between capacitors {k} and {k + 1}") for k in range(1, count)),
        GROUND,
    ]
    refs = []
    for number, (plus, minus) in enumerate(pairwise(nets), 1):
        refs.append(scope.capacitor("capacitor", plus, minus, role=f"{node}-capacitor", block=block, suffix=str(number)))
    for number, (plus, minus) in enumerate(pairwise(nets), 1):
        scope.resistor("balancing", plus, minus, role=f"{node}-balancing", block=block, suffix=str(number))
    stacks = dict(scope.facts.get("stacks") or {})  # type: ignore[call-overload]
    scope.facts["stacks"] = stacks | {node: tuple(ref for ref in refs if ref)}
    return refs[0]
