"""What the layout is made of: terminals, wires, boards, sleeves, leads that end in the air, clashes of house colours."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from ..diagnostics import Span
from ..records import record


@record
class Terminal:
    """A place to solder, as a builder names it: designator and pin; of a board its letter and the number ("A", "12": A12).

    Of a tag strip its name and the letter of the lug ("TB1", "a": TB1a).
    """

    ref: str
    pin: str


Hop = tuple[Terminal, Terminal]
"""One connection, from nearer the source to farther from it."""


@record
class MakeUp:
    """What a wire is made of, and how it is laid.

    carries: the row of parts/data/wire.yaml that sets its least size and insulation. gauge, area_mm2: its size by both names. amps: the
    most it carries, volts: the highest on its net (peak or direct), over every state that was solved; None where nothing was.
    needed_volts: the rating that asks for, insulation_volts: the one of the house that has it, 0 when none does; both rms.
    twist: number of the wire it is twisted with, 0 for none. dress: how to lay it, in a few words.
    """

    carries: str
    gauge: int
    area_mm2: float
    amps: float | None
    volts: float | None
    needed_volts: float | None
    insulation_volts: float
    twist: int = 0
    dress: str = ""


@record
class HeaterRun:
    """The twisted pair of a heater winding. sockets: in the order it passes them, each with the volts lost to it on the assumed lengths."""

    winding: str
    gauge: int
    area_mm2: float
    amps: float
    sockets: tuple[tuple[str, float], ...]
    limit_volts: float


@record
class Wire:
    """One row of the wire table. number counts from 1 in working order; group is the step of the work it belongs to.

    outside: it is not in the chassis (the speaker's cable, the pedal's cable). pair: heater winding whose two wires are twisted.
    bond: the part this wire is: it joins circuit ground to the earth stud in one piece, and stands in the list of neither net's tree.
    drain: where its screen is soldered, at its end `drained`, and nowhere else. braid: of a screened wire the ground wire that is its
    screen, of that ground wire the screened wire; 0 for none. ring: a ring of sleeving at both ends tells it from its partner in a pair.
    """

    number: int
    group: str
    net: str
    start: Terminal
    end: Terminal
    colour: str
    pair: str = ""
    outside: bool = False
    make_up: MakeUp | None = None
    bond: str = ""
    drain: Terminal | None = None
    drained: Terminal | None = None
    braid: int = 0
    ring: bool = False

    @property
    def screened(self) -> bool:
        """Whether it is the core of a screened wire."""
        return self.drain is not None or bool(self.braid and self.group != "ground")


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
class Colouring:
    """kinds: what the nets of this amp carry -> colour of the house wires for it; mains and earth follow the region and are not in it."""

    kinds: Mapping[str, str]
    sleeves: tuple[Sleeve, ...]
    clashes: tuple[Clash, ...]


@record
class Body:
    """What a part on a board takes up. kind: "resistor", "wirewound", "film", "disc", "electrolytic", "diode"; source as in parts/data."""

    kind: str
    length_mm: float
    diameter_mm: float
    source: str


@record
class Turret:
    """A numbered terminal of a board. leads: the part leads on it. side: "left" or "right", seen on the component side.

    tie: it holds no part; it takes what its neighbour has no room for.
    """

    terminal: Terminal
    net: str
    side: str
    x_mm: float
    y_mm: float
    leads: tuple[Terminal, ...]
    tie: bool = False


@record
class Mount:
    """A part on a board: its body's centre, and which of its leads goes to which terminal."""

    ref: str
    body: Body
    x_mm: float
    y_mm: float
    left_pin: str
    right_pin: str
    left: Terminal
    right: Terminal


@record
class Link:
    """A wire under a board from terminal to terminal. path: its corners in mm, seen on the component side."""

    net: str
    start: Terminal
    end: Terminal
    path: tuple[tuple[float, float], ...] = ()


@record
class Board:
    """A turret board with two columns of terminals; x to the right, y downwards from its upper left corner, component side."""

    name: str
    title: str
    width_mm: float
    height_mm: float
    turrets: tuple[Turret, ...]
    mounts: tuple[Mount, ...]
    links: tuple[Link, ...]


@record
class TagStrip:
    """A strip of insulated lugs beside a part, for leads that find no tag on it. nets: of each lug; leads: the part leads on each."""

    name: str
    host: str
    lugs: tuple[Terminal, ...]
    nets: tuple[str, ...]
    leads: tuple[tuple[Terminal, ...], ...]


@record
class Seat:
    """Where a part stands. kind: "board" (at: its name), "tag" (on terminals of the part `at`), "chassis", "cable" (outside).

    why: the reason, as a page prints it.
    """

    ref: str
    kind: str
    at: str = ""
    why: str = ""


@record
class Layout:
    """Wires in working order, their colours, leads to insulate, boards, and a seat for every part.

    joints: part lead -> the terminal it is soldered to, for leads that go to a board, to another part's tag or to a strip beside it.
    heater_runs: the twisted pairs of the heaters, winding by winding.
    """

    wires: tuple[Wire, ...]
    colouring: Colouring
    isolated: tuple[Isolated, ...] = ()
    boards: tuple[Board, ...] = ()
    seats: tuple[Seat, ...] = ()
    joints: Mapping[Terminal, Terminal] = field(default_factory=dict)
    heater_runs: tuple[HeaterRun, ...] = ()
    strips: tuple[TagStrip, ...] = ()

    def joint(self, ref: str, pin: str) -> Terminal:
        """Where a part's terminal is to be found: on a board, on another part's tag, or itself."""
        own = Terminal(ref, pin)
        return self.joints.get(own, own)

    def host(self, ref: str) -> str:
        """The part that a tag strip stands beside; "" for what is no strip."""
        return next((strip.host for strip in self.strips if strip.name == ref), "")

    def links_of(self, net: str) -> tuple[Link, ...]:
        """The links under the boards that belong to one net."""
        return tuple(link for board in self.boards for link in board.links if link.net == net)

    def wires_of(self, net: str) -> tuple[Wire, ...]:
        """The wires of one net; a bond, which joins two, is of neither."""
        return tuple(w for w in self.wires if w.net == net and not w.bond)
