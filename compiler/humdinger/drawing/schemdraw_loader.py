"""The one door to schemdraw: imported late, never with matplotlib, always writing text as text.

schemdraw imports matplotlib when it is installed, which takes ten times as long as schemdraw itself (0.28 s against 0.03 s, measured);
and with ziamath installed it would turn every text into outlines, so that the same netlist would give different bytes on another machine.
"""

from __future__ import annotations

import sys
from functools import cache
from types import ModuleType


@cache
def load() -> ModuleType:
    """schemdraw, set to its svg backend and to text mode. matplotlib can be imported normally afterwards."""
    hidden = "matplotlib" not in sys.modules
    if hidden:
        sys.modules["matplotlib"] = None  # type: ignore[assignment]
    try:
        import schemdraw
        import schemdraw.elements
    finally:
        if hidden:
            del sys.modules["matplotlib"]
    schemdraw.use("svg")
    schemdraw.svgconfig.text = "text"
    return schemdraw
