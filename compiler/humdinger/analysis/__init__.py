"""Analysis: netlist to numbers. `solve` is the pass."""

from .solve import solve

__all__ = ["solve"]
