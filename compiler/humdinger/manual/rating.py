"""The figures of the rating plate and of the warning labels, each with where it is from."""

from __future__ import annotations

import math
from collections.abc import Iterable

from ..analysis.results import Results
from ..circuit.netlist import Fuse, Netlist
from ..units import show_hertz, show_number, show_volts
from . import words

STEP_VOLT_AMPS = 5
"""A plate gives volt-amps in steps of this, rounded up (common practice)."""


def rated_volt_amps(netlist: Netlist, results: Results) -> tuple[int, str]:
    """What the plate says, and how it comes about: full drive where that was computed, else idle; nominal mains."""
    mains, volts = results.mains, float(netlist.region.nominal_volts)
    idle = mains.volt_amps
    amps = mains.full_drive_rms_amps
    driven = volts * amps if amps is not None else 0.0
    if amps is not None and driven >= idle:
        said = f"{show_volts(volts)} × {words.amps(amps)} at full drive = {show_number(words.computed(driven))} VA"
    else:
        said = f"{show_number(words.computed(idle))} VA at idle"
    rated = STEP_VOLT_AMPS * math.ceil(max(driven, idle) / STEP_VOLT_AMPS)
    return rated, f"{said}, up to the next {STEP_VOLT_AMPS} VA"


def mains_rating(netlist: Netlist) -> str:
    """ "230 V AC, 50 Hz"."""
    return f"{show_volts(float(netlist.region.nominal_volts))} AC, {show_hertz(netlist.mains_hertz)}"


def highest_volts(results: Results) -> float:
    """What a capacitor of supply or bias stands at in the worst state; 0 without one."""
    return max((d.start_volts for d in results.discharges if d.kind != "signal"), default=0.0)


def replaceable(netlist: Netlist) -> Iterable[Fuse]:
    """The fuses one can change: not a thermal one in a winding."""
    return (fuse for fuse in netlist.of(Fuse) if fuse.where != "thermal")
