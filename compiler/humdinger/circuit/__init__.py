"""Circuit: the netlist, and elaboration of a spec into one."""

from .elaborate import elaborate
from .netlist import Netlist

__all__ = ["Netlist", "elaborate"]
