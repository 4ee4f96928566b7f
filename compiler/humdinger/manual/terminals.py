"""How a place to solder or to clip on is called on every page."""

from __future__ import annotations

from ..circuit.netlist import (
    Bond,
    Capacitor,
    Coupler,
    Fuse,
    InterstageTransformer,
    Netlist,
    OutputTransformer,
    Part,
    Pot,
    PowerTransformer,
    Tube,
)
from ..layout import Layout
from ..layout.trees import is_outside

WORDS = {"+": "plus", "-": "minus", "a": "anode end", "k": "band end"}
LUGS = {"ccw": "lug\u00a01", "wiper": "lug\u00a02", "cw": "lug\u00a03"}
"""Lugs of a pot: 1 at the counterclockwise end, 2 the wiper, 3 at the clockwise end (common practice)."""

COUPLER = {"a": "light anode", "k": "light cathode", "1": "cell lead\u00a01", "2": "cell lead\u00a02"}


def terminal_text(ref: str, pin: str, netlist: Netlist) -> str:
    """ "V1 pin 3", "R4 lead 1", "R6 lug 2", "J1 tip", "C5 minus", board terminal "A12". Leads without a mark are told apart by number."""
    part = netlist.by_ref.get(ref)
    if part is None:
        return f"{ref}{pin}"
    if isinstance(part, Tube):
        return f"{ref} pin\u00a0{pin}"
    if isinstance(part, Fuse) and part.where == "mains":
        return f"{ref} {'tip' if pin == '1' else 'side'} contact"
    if isinstance(part, OutputTransformer):
        return f"{ref} {pin + ' Ω tap' if any(tap.pin == pin for tap in part.taps) else pin}"
    if isinstance(part, Pot):
        return f"{ref} {LUGS.get(pin, pin)}"
    if isinstance(part, PowerTransformer | InterstageTransformer):
        return f"{ref} {pin}"
    if isinstance(part, Coupler):
        return f"{ref} {COUPLER.get(pin, pin)}"
    if pin in ("1", "2"):
        return f"{ref} lead\u00a0{pin}"
    return f"{ref} {WORDS.get(pin, pin)}"


def probe_of(netlist: Netlist, net: str) -> tuple[Part, str] | None:
    """Where a builder clips on: a tube pin, else a capacitor's plus, else a jack, else any terminal inside the chassis."""
    rows = [row for row in netlist.on_net.get(net, ()) if not is_outside(row[0])] or list(netlist.on_net.get(net, ()))
    ranked = sorted(rows, key=lambda row: (not isinstance(row[0], Tube), row[1] != "+", row[1] != "tip"))
    return ranked[0] if ranked else None


class Where:
    """Names of places on the bench pages. A part's lead that is soldered to a board goes by the board's terminal, as in the wire table.

    layout: None where nothing was placed; leads then go by their parts.
    """

    def __init__(self, netlist: Netlist, layout: Layout | None = None) -> None:
        self.netlist, self.layout = netlist, layout

    def at(self, ref: str, pin: str) -> str:
        """ "A12 (R13)", "Q5 (C19 plus)"; elsewhere as `terminal_text`."""
        own = terminal_text(ref, pin, self.netlist)
        wire = isinstance(self.netlist.by_ref.get(ref), Bond)
        joint = self.layout.joint(ref, pin) if self.layout else None
        if joint is None or (joint.ref, joint.pin) == (ref, pin):
            return own
        if wire:
            return terminal_text(joint.ref, joint.pin, self.netlist)
        lead = ref if pin in ("1", "2") else own
        return f"{terminal_text(joint.ref, joint.pin, self.netlist)} ({lead})"

    def probe(self, net: str) -> str:
        """Where a builder clips on, in one line; "" where there is nothing to clip on."""
        netlist = self.netlist
        rows = netlist.on_net.get(net, ()) if net in netlist.nets and netlist.nets[net].domain in ("supply", "bias") else ()
        # at a B+ node the capacitor's lug takes a clip better than a tube's pin does
        found = next(((p, pin) for p, pin in rows if isinstance(p, Capacitor) and p.polarised), None) or probe_of(netlist, net)
        return self.at(found[0].ref, found[1]).replace(" ", "\u00a0") if found else ""
