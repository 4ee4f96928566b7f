"""Layout: where things stand. So far: wires from terminal to terminal, leads that need a sleeve, leads that end in the air."""

from .model import Isolated, Layout, Sleeve, Terminal, Wire
from .place import place

__all__ = ["Isolated", "Layout", "Sleeve", "Terminal", "Wire", "place"]
