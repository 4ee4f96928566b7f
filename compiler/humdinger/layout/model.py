"""What the layout is made of: terminals, wires, sleeves, leads that end in the air, clashes of house colours."""

from __future__ import annotations

from ..diagnostics import Span
from ..records import record


@record
class Terminal:
    """A terminal as a builder names it: designator and pin."""

    ref: str
    pin: str


Hop = tuple[Terminal, Terminal]
"""One connection, from nearer the source to farther from it."""


@record
class Wire:
    """One row of the wire table. number counts from 1 in working order; group is the step of the work it belongs to.

    outside: it is not in the chassis (the speaker's cable, the pedal's cable). pair: heater winding whose two wires are twisted.
    """

    number: int
    group: str
    net: str
    start: Terminal
    end: Terminal
    colour: str
    pair: str = ""
    outside: bool = False


@record
class Sleeve:
    """A transformer lead whose colour means danger elsewhere: what it is, what it could be taken for, what to sleeve it with."""

    lead: Terminal
    net: str
    colour: str
    taken_for: str
    sleeve: str
    span: Span


@record
class Isolated:
    """A lead that goes nowhere in this amp: insulate its end by itself. live: it carries voltage all the same."""

    ref: str
    lead: str
    why: str


@record
class Clash:
    """A house colour that breaks the colour rule. Nothing sleeves a house wire: it is a danger."""

    carries: str
    colour: str
    taken_for: str


@record
class Layout:
    """Wires in working order, sleeves, leads to insulate, and clashes of house colours."""

    wires: tuple[Wire, ...]
    sleeves: tuple[Sleeve, ...]
    clashes: tuple[Clash, ...]
    isolated: tuple[Isolated, ...] = ()

    def wires_of(self, net: str) -> tuple[Wire, ...]:
        """The wires of one net."""
        return tuple(w for w in self.wires if w.net == net)
