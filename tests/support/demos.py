"""The demo amps as netlists, elaborated once per run."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from humdinger.circuit.netlist import Netlist
from humdinger.compile import elaborated
from humdinger.source.world import DiskWorld

FOLDER = Path(__file__).parents[2] / "specs_demo"
NAMES = ("dunlin", "curlew", "heron", "teal")
"""Every demo. Tests of numbers, netlist, layout and pages as data run over all of them.

What opens a browser (axe, print, lighting up) runs over three of them and over the rest with --deep (`manuals.BROWSED`), because a browser
costs ten times what the other tests of an amp do; so does what solves a demo again and again (`manuals.BROWSED` there too).
"""


@cache
def demo(name: str) -> Netlist:
    """The netlist of specs_demo/NAME. AssertionError with the findings when the spec does not elaborate."""
    made = elaborated(DiskWorld(), str(FOLDER / name / f"{name}.amp.yaml"))
    assert made.netlist is not None, made.diagnostics
    return made.netlist
