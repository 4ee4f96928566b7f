"""Layout: where things stand. What is placed (place.py) and made up (makeup.py) is imported from there: the rules need neither."""

from .colouring import coloured
from .model import Board, Colouring, HeaterRun, Isolated, Layout, Link, MakeUp, Mount, Seat, Sleeve, TagStrip, Terminal, Turret, Wire

__all__ = [
    "Board",
    "Colouring",
    "HeaterRun",
    "Isolated",
    "Layout",
    "Link",
    "MakeUp",
    "Mount",
    "Seat",
    "Sleeve",
    "TagStrip",
    "Terminal",
    "Turret",
    "Wire",
    "coloured",
]
