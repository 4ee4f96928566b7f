"""Fixed bias: an adjustable negative supply for the output grids.

What it does: holds the output grids at a set negative voltage whatever the tubes draw.

When to use it: where more power is wanted from the same tubes; they must be matched and the bias set and checked with a meter.

Topology: the bias winding has one end on circuit ground. From the other end the diodes lead away from the reservoir (cathode to the
winding), so the reservoir charges negative: half-wave. Every filter capacitor has its plus end on ground; `through` of a filter entry
leads from its capacitor to the next, the last one to the range network. Range network: to_negative - pot - to_ground; the wiper feeds the
grid leaks' common end "bias.feed" through `feed`. Clockwise is less negative: hotter. fail_safe runs from the wiper to the filtered
negative supply, so that a wiper that lifts, or a pot that is unplugged, sends the grids to the most negative voltage there is.
Each cathode goes to ground through its test_resistor: 1 ohm shows millivolts for milliamps.

Formulas: wiper volts by the divider (the network is solved); grid path for n tubes on one feed R_own + n*R_common (standard algebra).

Limits: the tubes' grid-leak limit for fixed bias; the bias must be there before the B+. The range network drains the reservoir.

Defaults: winding "bias"; one 1N4007 as the rectifier; one adjustment for all tubes. Without test_resistor the cathodes are on ground.
"""

from __future__ import annotations

from ...parts.model import DiodeType
from ...spec.model import Block
from ..builder import Fill, Scope
from ..netlist import GROUND, Diode, Pin, Rectifier

KIND = "fixed-bias"
SECTION = "output"

WINDING = Fill("bias", "bias", "the power transformer's bias winding")
DIODE = Fill("1N4007", "1N4007", "common practice: any silicon diode of 400 V or more serves a bias supply")
ONE_DIODE = Fill("1", 1, "one diode stands the bias winding's inverse voltage")
SHARED = Fill("shared", "shared", "one adjustment for all output tubes")


def elaborate(scope: Scope) -> None:
    """Ports: ac, reservoir, negative, wiper, feed; cathode-a, cathode-b (cathode-a1 ...) with test resistors.

    Roles: diode-1 ..., filter-capacitor-1 ..., filter-resistor-1 ..., to-negative, adjustment (pot: cw towards ground), to-ground,
    fail-safe, feed, feed-capacitor, test-resistor-a/b.
    Facts: devices (diode refs), reservoir.
    """
    scope.title = "Bias"
    scope.value("winding", WINDING)
    scope.value("adjustment", SHARED)
    if "bias" not in scope.design.spec.block("supply").block("transformer"):
        scope.builder.problem(
            "ELB-022",
            "no-bias-winding",
            "fixed bias needs a bias winding, and the power transformer has none",
            scope.block.span_of("scheme"),
            notes=("write it as supply/transformer/bias: {volts, current, basis, resistance}",),
        )
    reservoir = scope.port("reservoir", scope.builder.net("bias.reservoir", "bias", "bias reservoir"))
    devices, in_series = _diodes(scope, reservoir)
    negative, first = _filter(scope, reservoir)
    _range(scope, negative)
    head = "output.cathode-"
    for letter, cathode in [(port.removeprefix(head), net) for port, net in scope.source.items() if port.startswith(head)]:
        if cathode != GROUND:
            scope.resistor("test_resistor", scope.port(f"cathode-{letter}", cathode), GROUND, suffix=letter)
    scope.facts["devices"], scope.facts["reservoir"] = devices, first
    scope.builder.rectifiers.append(
        Rectifier(
            id="bias",
            kind="silicon",
            arrangement="half-wave",
            plus=GROUND,
            minus=reservoir,
            transformer=scope.builder.reserve("transformer", "supply/transformer"),
            winding="BIAS",
            devices=devices,
            diodes_in_series=in_series,
            reservoir=first,
            extra_ohms=0.0,
            span=scope.block.span_of("rectifier"),
        )
    )


def _diodes(scope: Scope, reservoir: str) -> tuple[tuple[str, ...], int]:
    """The chain from the winding to the reservoir, cathodes towards the winding. Returns the refs and how many stand in series."""
    diodes = scope.block.block("rectifier").block("diodes")
    name, origin, span, path = scope.value("part", DIODE, diodes)
    count = int(scope.value("in_series", ONE_DIODE, diodes)[0])
    found = name if isinstance(name, DiodeType) else scope.design.diodes.get(str(name))
    if found is None:
        return (), count
    net = scope.port("ac", scope.builder.net("bias.ac", "high-tension-ac", "bias winding"))
    refs = []
    for number in range(1, count + 1):
        behind = reservoir if number == count else scope.net(f"ac-{number}", "high-tension-ac")
        pins = (Pin("a", behind), Pin("k", net))
        role = f"diode-{number}"
        refs.append(scope.keep(Diode, "diode", role=role, path=f"{path}/{number}", span=span, origin=origin, pins=pins, type=found))
        net = behind
    return tuple(refs), count


def _filter(scope: Scope, reservoir: str) -> tuple[str, str]:
    """The RC sections after the reservoir. Returns the filtered net and the reservoir capacitor."""
    entries = scope.block.blocks("filter")
    net, first = reservoir, ""
    for number, entry in enumerate(entries, 1):
        ref = scope.capacitor("capacitor", GROUND, net, block=entry, role=f"filter-capacitor-{number}")
        first = first or ref or ""
        if "through" in entry:
            last = number == len(entries)
            behind = scope.builder.net("bias.negative" if last else f"bias.filter-{number}", "bias", f"bias filter {number}")
            scope.resistor("through", net, behind, block=entry, role=f"filter-resistor-{number}")
            net = behind
    return scope.port("negative", net), first


def _range(scope: Scope, negative: str) -> None:
    """to_negative, the pot with its end towards ground clockwise, to_ground, fail_safe and the feed to the grid leaks."""
    block: Block = scope.block.block("range")
    cold = scope.builder.net("bias.cold", "bias", "cold end of the bias range")
    hot = scope.builder.net("bias.hot", "bias", "hot end of the bias range")
    feed = scope.port("feed", scope.builder.net("bias.feed", "bias", "bias feed"))
    wiper = scope.port("wiper", scope.builder.net("bias.wiper", "bias", "bias wiper") if "feed" in scope.block else feed)
    scope.resistor("to_negative", negative, cold, block=block)
    scope.pot("pot", cold, wiper, hot, control="BIAS", block=block, role="adjustment")
    scope.resistor("to_ground", hot, GROUND, block=block)
    scope.resistor("fail_safe", wiper, negative, block=block)
    scope.resistor("feed", wiper, feed)
    scope.capacitor("feed_capacitor", GROUND, feed)
