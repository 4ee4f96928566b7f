"""Layout: where things stand. So far: wires from terminal to terminal, leads that need a sleeve, leads that end in the air."""

from .model import Board, Isolated, Layout, Link, Mount, Seat, Sleeve, Terminal, Turret, Wire
from .place import place

__all__ = ["Board", "Isolated", "Layout", "Link", "Mount", "Seat", "Sleeve", "Terminal", "Turret", "Wire", "place"]
