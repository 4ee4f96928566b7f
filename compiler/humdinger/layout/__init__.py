"""Layout: where things stand. So far: wires from terminal to terminal, leads that need a sleeve, leads that end in the air."""

from .makeup import made_up
from .model import Board, HeaterRun, Isolated, Layout, Link, MakeUp, Mount, Seat, Sleeve, Terminal, Turret, Wire
from .place import place

__all__ = [
    "Board",
    "HeaterRun",
    "Isolated",
    "Layout",
    "Link",
    "MakeUp",
    "Mount",
    "Seat",
    "Sleeve",
    "Terminal",
    "Turret",
    "Wire",
    "made_up",
    "place",
]
