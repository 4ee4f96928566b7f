"""Layout: where things stand. So far: wires from terminal to terminal, and transformer leads that need a sleeve."""

from .place import Layout, place

__all__ = ["Layout", "place"]
