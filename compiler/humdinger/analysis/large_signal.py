"""The amp under a sine at its input, from a whisper to four times full drive: what the oscilloscope shows at the speaker.

Every level is a periodic steady state (`periodic`), each started from the one before: bias shift, sag of the averaged supply and grid
current are in it. Nominal mains, tremolo at rest, every volume turned up, the other controls as they stand. The load is the speaker's
nominal resistance.

Clipping begins where the volts at the speaker stay within CLOSE of one of their crests FLAT times as long as a sine does (own choice: that
is about where a flat is seen). Distortion: rms of the harmonics 2 to HARMONICS over the fundamental.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np

from ..circuit.netlist import GROUND, Netlist
from ..records import record
from .devices.softplus import Floats
from .drive import volume_controls
from .operating import Solved, solve_system
from .periodic import STEPS, Periodic, Source, periodic, sine
from .results import DriveLevel, LargeSignal, PowerPoint
from .smallsignal import SOURCE_OHMS
from .speakers import presented_ohms
from .study import Study, with_controls
from .system import build_system

HERTZ = 1000.0
LEVELS = 14
QUIETEST, LOUDEST = 0.1, 4.0
"""Of the input volts that drive the output grids by their bias."""
HARMONICS = 20
CLOSE, FLAT = 0.05, 1.5
DISTORTIONS = (0.05, 0.10)
SMALLEST_STEP = 1.02
"""A level that does not converge is approached in smaller steps, down to this ratio."""


@record(slots=False)
class _Level:
    """A solved level: peak volts at the input, the period, volts at the speaker (N,)."""

    peak: float
    found: Periodic
    out: Floats

    @property
    def crests(self) -> tuple[float, float]:
        """Highest and lowest volts at the speaker against the mean, both positive."""
        around = self.out - self.out.mean()
        return float(around.max()), float(-around.min())


def large_signal(study: Study, full_volts: float | None) -> LargeSignal | None:
    """None without an input, a load or output tubes, and where the first levels cannot be found.

    full_volts: rms at the input for full drive with every volume turned up.
    """
    netlist = study.netlist
    ohms = presented_ohms(netlist, netlist.output_net)
    if full_volts is None or ohms is None or not netlist.power_sections:
        return None
    up = dict.fromkeys(volume_controls(study), 1.0)
    system = build_system(netlist, with_controls(netlist, study.nominal.condition, **up))
    rest = solve_system(system, study.solved["nominal"])
    if not rest.convergence.converged:
        return None
    sweep = _Sweep(rest, ohms)
    ladder = sweep.ladder(2.0**0.5 * full_volts * np.geomspace(QUIETEST, LOUDEST, LEVELS))
    if len(ladder) < 2:
        return None
    return LargeSignal(
        hertz=HERTZ,
        controls=system.condition.controls,
        load_ohms=ohms,
        idle_volts={net: rest.volts(net) for net in sweep.watched},
        levels=tuple(sweep.row(level) for level in ladder),
        points=tuple(sweep.points(ladder)),
        complete=len(ladder) == LEVELS,
    )


class _Sweep:
    """Levels of one amp at one frequency."""

    def __init__(self, rest: Solved, ohms: float) -> None:
        self.rest, self.ohms = rest, ohms
        self.netlist: Netlist = rest.system.netlist
        sections = [self.netlist.by_section[ref] for ref in self.netlist.power_sections]
        grids = [s.grid for s in sections]
        self.watched = tuple(dict.fromkeys(n for n in (*self.netlist.b_plus, *(s.cathode for s in sections), *grids) if n != GROUND))

    def solved(self, peak: float, start: Floats) -> _Level | None:
        """One level from port volts at rest (m,) or of a nearby level."""
        source = Source(self.netlist.input_net, SOURCE_OHMS, sine(1.0 / HERTZ, STEPS, peak))
        found = periodic(self.rest.system, 1.0 / HERTZ, source, start)
        return _Level(peak, found, found.volts(self.netlist.output_net)) if found.converged else None

    def ladder(self, peaks: Floats) -> list[_Level]:
        """The levels in turn, each from the one before; as many as there are solutions."""
        levels: list[_Level] = []
        start, here = self.rest.u, 0.0
        for peak in map(float, peaks):
            level = self.solved(peak, start)
            ratio = (peak / here) ** 0.5 if here else 0.0
            while level is None and ratio > SMALLEST_STEP:
                level, here, start = self._nearer(peak, here, start, ratio)
                ratio = ratio**0.5
            if level is None:
                break
            levels.append(level)
            start, here = level.found.u, peak
        return levels

    def _nearer(self, peak: float, here: float, start: Floats, ratio: float) -> tuple[_Level | None, float, Floats]:
        """Walks to a level in steps of a ratio. Returns the level, or None and how far it got."""
        while here < peak:
            on = min(here * ratio, peak)
            level = self.solved(on, start)
            if level is None:
                return None, here, start
            here, start = on, level.found.u
            if on == peak:
                return level, here, start
        return None, here, start

    def row(self, level: _Level) -> DriveLevel:
        """What is told of a level."""
        bank = self.rest.system.bank
        amps, volts = level.found.currents(), level.found.u[1::2]
        watts = (amps * volts).mean(axis=0)
        at = {(port.owner, port.kind): float(watts[k]) for k, port in enumerate(bank.ports)}
        mean = {(port.owner, port.kind): float(amps[:, k].mean()) for k, port in enumerate(bank.ports)}
        tubes = self.netlist.power_sections
        up, down = level.crests
        return DriveLevel(
            input_volts_rms=level.peak / 2.0**0.5,
            output_volts_rms=_rms(level.out),
            watts=_rms(level.out) ** 2 / self.ohms,
            distortion=_distortion(level.out),
            crest_up_volts=up,
            crest_down_volts=down,
            mean_volts={net: float(level.found.volts(net).mean()) for net in self.watched},
            plate_watts={ref: at[ref, "plate"] for ref in tubes},
            screen_watts={ref: at[ref, "screen"] for ref in tubes if (ref, "screen") in at},
            plate_amps={ref: mean[ref, "plate"] for ref in tubes},
            screen_amps={ref: mean[ref, "screen"] for ref in tubes if (ref, "screen") in mean},
        )

    def points(self, ladder: Sequence[_Level]) -> Iterator[PowerPoint]:
        """Half the input of clipping, where clipping begins, where the distortion passes the marks, and the most; each solved."""
        figures = {"clipping": ([_flatness(level.out) for level in ladder], FLAT)}
        rows = [_distortion(level.out) for level in ladder]
        figures |= {f"distortion-{share:g}": (rows, share) for share in DISTORTIONS}
        for name, (row, limit) in figures.items():
            peak = _passed([level.peak for level in ladder], row, limit)
            if peak is not None:
                if name == "clipping":
                    yield from self._point("half", ladder, 0.5 * peak)
                yield from self._point(name, ladder, peak)
        most = max(ladder, key=lambda level: _rms(level.out))
        yield from self._point("most", ladder, most.peak)

    def _point(self, name: str, ladder: Sequence[_Level], peak: float) -> Iterator[PowerPoint]:
        near = min(ladder, key=lambda level: abs(math.log(level.peak / peak)))
        found = self.solved(peak, near.found.u)
        if found is not None:
            wave = tuple(map(float, found.out))
            yield PowerPoint(name, self.row(found), wave)


def _rms(wave: Floats) -> float:
    """Of the alternating part."""
    return float(wave.std())


def _distortion(wave: Floats) -> float:
    lines = np.abs(np.fft.rfft(wave))
    return float(np.sqrt((lines[2 : HARMONICS + 1] ** 2).sum()) / lines[1]) if lines[1] > 0.0 else 0.0


def _flatness(wave: Floats) -> float:
    """The longer time near one of the crests, over that of a sine."""
    around = wave - wave.mean()
    sine_share = math.acos(1.0 - CLOSE) / math.pi
    return max(_share_above(side, (1.0 - CLOSE) * float(side.max())) for side in (around, -around)) / sine_share


def _share_above(wave: Floats, limit: float) -> float:
    """Share of the period that a wave spends above a limit, straight lines between its points."""
    here, then = wave - limit, np.roll(wave, -1) - limit
    size = np.abs(here) + np.abs(then)
    crossing = np.divide(np.maximum(here, then), size, out=np.zeros_like(size), where=size > 0.0)
    return float(np.where((here > 0.0) & (then > 0.0), 1.0, np.where((here > 0.0) != (then > 0.0), crossing, 0.0)).mean())


def _passed(peaks: Sequence[float], row: Sequence[float], limit: float) -> float | None:
    """The input where a figure first passes a limit from below, between its neighbours on a logarithmic scale of the input."""
    for (a, before), (b, after) in pairwise(zip(peaks, row, strict=True)):
        if before <= limit < after:
            return a * (b / a) ** ((limit - before) / (after - before))
    return None
