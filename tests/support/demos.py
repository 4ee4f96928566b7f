"""The demo amps as netlists, elaborated once per run."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from humdinger.circuit.netlist import Netlist
from humdinger.compile import elaborated
from humdinger.source.world import DiskWorld

FOLDER = Path(__file__).parents[2] / "specs_demo"
NAMES = ("dunlin", "curlew", "heron")


@cache
def demo(name: str) -> Netlist:
    """The netlist of specs_demo/NAME. AssertionError with the findings when the spec does not elaborate."""
    made = elaborated(DiskWorld(), str(FOLDER / name / f"{name}.amp.yaml"))
    assert made.netlist is not None, made.diagnostics
    return made.netlist
