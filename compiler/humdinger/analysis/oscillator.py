"""The phase-shift oscillator, its loop opened at the grid: where it would run, what gain that takes, and whether it starts.

The whole amp stays around it, so the ladder is loaded by whatever it really feeds. The tube is its plate resistance and a current
gm * vgk; opened, L(s) = gm * (volts back at the grid per amp of that current). It runs where the phase of L is 0; a stage of unloaded gain
A0 = mu Ra/(rp + Ra) needs A0/|L| there. 1 - L(s) = 0 gives the pole of the whole amp next to that frequency, exactly (the other tubes are
in L), and a pole in the right half plane means that it starts.

Ageing: gm and plate conductance at 0.7 of new, which keeps mu (common practice for a tube at the end of its life).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from ..circuit.netlist import GROUND, Pot, TubeSection
from ..records import record
from ..units.taper import track_fraction
from .devices.softplus import Floats
from .elements import POT_END, pot_position
from .modes import Complexes, Modes, changed, changed_entry
from .results import OscillatorPoint
from .smallsignal import SmallSignal

AGED = 0.7
POSITIONS = tuple(k / 10.0 for k in range(11))
HERTZ = np.geomspace(0.2, 60.0, 72)
"""Where the loop's phase is looked at before it is narrowed down: wider than any tremolo."""

PLATE, GRID, LOWER, UPPER = 0, 1, 2, 3


@record(slots=False)
class Tube:
    """The oscillator's tube as the loop sees it: siemens, ohms, and the stage's unloaded plate load."""

    transconductance: float
    plate_ohms: float
    load_ohms: float

    @property
    def mu(self) -> float:
        return self.transconductance * self.plate_ohms

    def gain(self, share: float = 1.0) -> float:
        """Unloaded gain mu Ra/(rp + Ra) with gm and plate conductance at a share of new."""
        return self.mu * self.load_ohms / (self.plate_ohms / share + self.load_ohms)


class Loop:
    """The opened loop over the shaft of the speed control.

    Ports of its modes: plate to cathode, grid to cathode, the two halves of the speed pot's track, then `probes` (net pairs).
    """

    def __init__(
        self, found: SmallSignal, section: TubeSection, tube: Tube, speed: Pot | None, probes: Sequence[tuple[str, str]] = ()
    ) -> None:
        system = found.system
        pairs = [(section.plate, section.cathode), (section.grid, section.cathode)]
        pairs += [(speed.net("ccw"), speed.net("wiper")), (speed.net("wiper"), speed.net("cw"))] if speed else []
        self.first_probe = len(pairs)
        pairs += list(probes)
        directions = np.zeros((len(pairs), system.size))
        for k, pair in enumerate(pairs):
            for net, sign in zip(pair, (1.0, -1.0), strict=True):
                if net != GROUND:
                    directions[k, system.index[net]] += sign
        opened = found.Y - tube.transconductance * np.outer(directions[PLATE], directions[GRID])
        self.modes = Modes(opened, system.D, system.Gamma, directions)
        self.tube = tube
        self.speed = speed
        self._altered = [PLATE, LOWER, UPPER] if speed else [PLATE]
        self._known: dict[float, list[float]] = {}
        self._base = self.track(pot_position(found.netlist, found.system.condition, speed)) if speed else np.zeros(2)

    def track(self, position: float) -> Floats:
        """Siemens of the lower and the upper half of the speed pot's track."""
        assert self.speed is not None
        below = track_fraction(self.speed.taper, position)
        return 1.0 / (self.speed.ohms * np.maximum([below, 1.0 - below], POT_END))

    def _siemens(self, positions: Floats | Sequence[float] | float, share: float) -> Floats:
        """What is added across the ports PLATE (LOWER, UPPER) at shaft positions (...): (..., 1 or 3)."""
        plate = (share - 1.0) / self.tube.plate_ohms
        flat = np.ravel(np.asarray(positions, dtype=float)).tolist()
        rows = [[plate, *self._moved(p)] if self.speed else [plate] for p in flat]
        return np.array(rows).reshape(*np.shape(positions), -1)

    def _moved(self, position: float) -> list[float]:
        """What a shaft position adds to the two halves of the track, siemens; remembered, for the search asks for the same ones."""
        if position not in self._known:
            self._known[position] = (self.track(position) - self._base).tolist()
        return self._known[position]

    def ports(self, s: Complexes, positions: Floats | float, share: float = 1.0) -> Complexes:
        """Transfer impedances (..., p, p) at s (...); s and shaft positions broadcast. share: of the tube's plate conductance."""
        return changed(self.modes.impedance(s), self._altered, self._siemens(positions, share))

    def gain(self, s: Complexes, positions: Floats | Sequence[float] | float, share: float = 1.0) -> Complexes:
        """L(s), volts back at the grid per volt there. s and positions broadcast against each other."""
        z = self.modes.impedance(s, self.first_probe)
        # the current gm vgk leaves the plate
        return -share * self.tube.transconductance * changed_entry(z, self._altered, self._siemens(positions, share), GRID, PLATE)

    def running_hertz(self, positions: Sequence[float], share: float = 1.0) -> Floats:
        """Hertz where the phase of L is 0, per position; the crossing with most gain; nan where there is none."""
        where = np.asarray(positions, dtype=float)
        values = self.gain(2j * np.pi * HERTZ, where[:, None], share)
        turns = np.signbit(values.imag[:, :-1]) != np.signbit(values.imag[:, 1:])
        ahead = turns & (values.real[:, :-1] > 0.0) & (values.real[:, 1:] > 0.0)
        k = np.argmax(np.where(ahead, values.real[:, :-1], -np.inf), axis=1)
        rows = np.arange(len(where))
        low, high = HERTZ[k], HERTZ[k + 1]
        before, here = low, high
        at_before, at_here = values.imag[rows, k], values.imag[rows, k + 1]
        for _ in range(12):
            with np.errstate(all="ignore"):
                step = at_here * (here - before) / (at_here - at_before)
            step = np.where(np.isfinite(step), step, 0.0)
            before, at_before = here, at_here
            here = np.clip(here - step, low, high)
            if np.all(np.abs(here - before) <= 1e-12 * here):
                break
            at_here = self.gain(2j * np.pi * here, where, share).imag
        return np.where(ahead[rows, k], here, np.nan)

    def poles(self, hertz: Floats, positions: Sequence[float]) -> Complexes:
        """The zeros of 1 - L(s) reached from j 2 pi hertz by the secant method, in 1/s, per position; nan where none is reached."""
        where = np.asarray(positions, dtype=float)
        before = 2j * np.pi * np.asarray(hertz, dtype=float)
        here = before * (1.0 + 1e-4) + 1e-3
        at_before, at_here = 1.0 - self.gain(before, where), 1.0 - self.gain(here, where)
        for _ in range(40):
            with np.errstate(all="ignore"):  # a secant that has arrived divides nothing by nothing
                step = at_here * (here - before) / (at_here - at_before)
                step = step * np.minimum(1.0, np.abs(here) / np.abs(step))
            step = np.where(np.isfinite(step), step, 0.0)
            before, at_before = here, at_here
            here = here - step
            at_here = 1.0 - self.gain(here, where)
            if np.all(np.abs(step) <= 1e-12 * np.abs(here)):
                break
        return np.where(np.abs(at_here) < 1e-6, here, np.nan)

    def points(self, positions: Sequence[float] = POSITIONS) -> tuple[OscillatorPoint, ...]:
        """The oscillator over the shaft; a position where the loop has no phase 0 is left out."""
        where = positions if self.speed else (0.5,)
        new, aged = self.running_hertz(where), self.running_hertz(where, AGED)
        kept = [k for k in range(len(where)) if not (math.isnan(new[k]) or math.isnan(aged[k]))]
        if not kept:
            return ()
        here = [where[k] for k in kept]
        margins = np.abs(self.gain(2j * np.pi * aged[kept], here, AGED))
        poles = self.poles(new[kept], here)
        return tuple(
            OscillatorPoint(
                position=position,
                hertz=float(new[k]),
                gain_required=self.tube.gain(AGED) / float(margin),
                gain_available=self.tube.gain(),
                gain_available_aged=self.tube.gain(AGED),
                margin=float(margin),
                starts=bool(pole.real > 0.0),
                pole=0j if np.isnan(pole) else complex(pole),
            )
            for k, position, margin, pole in zip(kept, here, margins, poles, strict=True)
        )
