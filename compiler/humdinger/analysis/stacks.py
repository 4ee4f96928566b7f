"""Capacitors in series on a B+ node: their capacitance together, and how unevenly they can share the volts.

While a stack is charged its parts share the volts in inverse proportion to their capacitance. With one part at the low end of its tolerance
and the others at the high end it gets (1/(1-t)) / (1/(1-t) + (n-1)/(1+t)) of the whole: 60 % of two at 20 % (derived from Q = C V). The
resistors across them even that out within their own time constant. Leakage apart, they share by their own tolerance, which is less.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..circuit.netlist import Capacitor, Netlist

USUAL_TOLERANCE = 0.2
"""Of an electrolytic whose tolerance nobody gave (common practice)."""


def stacks(netlist: Netlist) -> tuple[tuple[Capacitor, ...], ...]:
    """Every stack, uppermost capacitor first."""
    found = []
    for stage in netlist.stages_of("filter"):
        refs = stage.facts.get("stacks")
        for row in refs.values() if isinstance(refs, Mapping) else ():
            found.append(tuple(part for ref in row if isinstance(part := netlist.by_ref.get(ref), Capacitor)))
    return tuple(found)


def stack_of(netlist: Netlist, ref: str) -> tuple[Capacitor, ...]:
    """The capacitors in series with one, itself among them; the one alone where it stands in no stack; nothing for another part."""
    for stack in stacks(netlist):
        if any(part.ref == ref for part in stack):
            return stack
    part = netlist.by_ref.get(ref)
    return (part,) if isinstance(part, Capacitor) else ()


def series_farads(parts: tuple[Capacitor, ...]) -> float:
    """Capacitance of capacitors in series; 0 of none."""
    return 1.0 / sum(1.0 / part.farads for part in parts) if parts else 0.0


def doubled(netlist: Netlist, parts: tuple[Capacitor, ...]) -> bool:
    """Whether a stack is the pair of reservoirs of a doubler: the winding charges each of them, so neither takes the other's volts."""
    return any(r.middle and any(part.ref == r.reservoir for part in parts) for r in netlist.rectifiers)


def uneven_share(parts: tuple[Capacitor, ...]) -> float:
    """The largest share of a stack's volts that one of it can get, by tolerance; 1 for one alone."""
    tolerance = max((USUAL_TOLERANCE if part.tolerance is None else part.tolerance for part in parts), default=0.0)
    small, large = 1.0 / (1.0 - tolerance), 1.0 / (1.0 + tolerance)
    return small / (small + (len(parts) - 1) * large)


def node_rating(netlist: Netlist, net: str) -> float | None:
    """Volts to ground that the electrolytics of a net stand at most, the least of them; None where none on it has a rating.

    A stack stands the least rating over the largest share that one of it can get; both reservoirs of a doubler together what the weaker
    stands twice, since the winding charges them alike.
    """
    limits = []
    tops = {stack[0].ref: stack for stack in stacks(netlist)}
    for part, pin in netlist.on_net.get(net, ()):
        if not isinstance(part, Capacitor) or not part.polarised or part.volts is None:
            continue
        stack = tops.get(part.ref, ())
        rated = [c.volts for c in stack if c.volts is not None]
        if not stack:
            limits.append(part.volts)
        elif pin == "+":
            limits.append(2.0 * min(rated) if doubled(netlist, stack) else min(rated) / uneven_share(stack))
    return min(limits, default=None)
