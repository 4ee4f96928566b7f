"""What the running tremolo does to the signal and to the tubes, read off the solved slow wave."""

from __future__ import annotations

import numpy as np

from ..circuit.netlist import Coupler, StageInstance, TubeSection
from .devices.photocell import PhotocellParameters, photocell_siemens
from .elements import light_of
from .operating import Solved
from .results import CellSwing, Excursion, RunningTremolo
from .slow_wave import SlowWave, decibels, slow_wave

CUT_OFF_SHARE = 0.01
"""Of the plate current of idle (own choice)."""


def running(solved: Solved, oscillator: TubeSection, stage: StageInstance, hertz: float, peak_volts: float) -> RunningTremolo | None:
    """None where the wave has no periodic solution. solved: tremolo on, intensity full. stage: the injection's."""
    wave = slow_wave(solved, oscillator, hertz, peak_volts)
    if wave is None:
        return None
    netlist = solved.system.netlist
    moved = stage.facts.get("moved", ())
    assert isinstance(moved, tuple)
    follower = str(stage.facts.get("follower", ""))
    return RunningTremolo(
        loudest_gain=wave.loudest,
        softest_gain=wave.softest,
        depth=(wave.loudest - wave.softest) / (wave.loudest + wave.softest),
        depth_db=decibels(wave.loudest, wave.softest),
        idle_output_peak_volts=wave.first_harmonic(netlist.output_net),
        excursions=tuple(_excursion(wave, ref) for ref in dict.fromkeys((*moved, *netlist.power_sections))),
        cell=_cell(wave, str(stage.facts.get("cell", ""))),
        follower_peak_volts=_swing(wave, netlist.by_section[follower].cathode) if follower in netlist.by_section else None,
    )


def _cell(wave: SlowWave, ref: str) -> CellSwing | None:
    part = wave.solved.system.netlist.by_ref.get(ref)
    if not isinstance(part, Coupler):
        return None
    name = light_of(part)
    amps, rest = wave.amps(name, "diode"), wave.rest_amps(name, "diode")
    law = PhotocellParameters(*(np.array(v) for v in (1.0 / part.dark_ohms, 1.0 / part.bright_ohms, part.bright_amps, part.gamma)))
    bright, dark, still = (1.0 / float(photocell_siemens(np.array(i), law)[0]) for i in (amps.max(), amps.min(), rest))
    across = wave.solved.volts(part.net("1")) - wave.solved.volts(part.net("2"))
    return CellSwing(ref, still, bright, dark, rest, float(amps.max()), across)


def _excursion(wave: SlowWave, ref: str) -> Excursion:
    lowest, highest = wave.port_span(ref, "grid")
    amps = wave.amps(ref, "plate")
    idle = wave.rest_amps(ref, "plate")
    return Excursion(ref, lowest, highest, float(np.mean(amps < CUT_OFF_SHARE * idle)))


def _swing(wave: SlowWave, net: str) -> float:
    lowest, highest = wave.span(net)
    return 0.5 * (highest - lowest)
