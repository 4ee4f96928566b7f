"""The nonlinear one-ports of a circuit, evaluated all at once.

A port is a pair of nets with a current that depends on the volts of this and other ports: grid, plate and screen of a tube against its
cathode, a diode, an averaged rectifier. Devices of one law are evaluated together; any leading batch axes are allowed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .devices.averaged import OnePort, averaged_current
from .devices.diode import DiodeParameters, diode_current
from .devices.grid import grid_current
from .devices.pentode import PentodeParameters, pentode_currents
from .devices.rectifier_tube import RectifierTubeParameters, rectifier_tube_current
from .devices.softplus import Floats
from .devices.triode import TriodeParameters, triode_currents
from .elements import DiodeElement, TubeElement
from .supply import AveragedRectifier


@dataclass(frozen=True, slots=True)
class Port:
    """A port from net `plus` to net `minus`. owner: section, diode or rectifier; kind: "grid", "plate", "screen", "diode", "rectifier".

    conductance: nominal siemens (the solver's shift); start: volts where the solver begins; limit: volts it may move in one step.
    """

    owner: str
    kind: str
    plus: str
    minus: str
    conductance: float
    start: float
    limit: float


@dataclass(frozen=True)
class PortBank:
    """All ports with the parameters of their laws. Order: triode grids, triode plates, pentode grids, plates, screens, diodes, tube
    rectifiers, silicon rectifiers. Parameter arrays may carry leading batch axes."""

    ports: tuple[Port, ...]
    triodes: TriodeParameters
    pentodes: PentodeParameters
    diodes: DiodeParameters
    tube_peaks: Floats
    tube_pulses: Floats
    tube_rectifiers: RectifierTubeParameters
    silicon_peaks: Floats
    silicon_pulses: Floats
    silicon_rectifiers: DiodeParameters

    @property
    def count(self) -> int:
        """Number of ports."""
        return len(self.ports)

    def scaled(self, share: float) -> PortBank:
        """The same ports with every rectifier's EMF scaled: the sources of source stepping."""
        return replace(self, tube_peaks=self.tube_peaks * share, silicon_peaks=self.silicon_peaks * share)

    def select(self, samples: NDArray[np.int64]) -> PortBank:
        """The ports of some samples of a batch; the bank itself where no parameter differs from sample to sample."""
        if all(np.ndim(value) < 2 for value in self._arrays()):
            return self

        def pick(value: Floats) -> Floats:
            return value[samples] if np.ndim(value) == 2 else value

        return replace(
            self,
            triodes=TriodeParameters(*map(pick, self.triodes)),
            pentodes=PentodeParameters(*map(pick, self.pentodes)),
            diodes=DiodeParameters(*map(pick, self.diodes)),
            tube_peaks=pick(self.tube_peaks),
            tube_pulses=pick(self.tube_pulses),
            tube_rectifiers=RectifierTubeParameters(*map(pick, self.tube_rectifiers)),
            silicon_peaks=pick(self.silicon_peaks),
            silicon_pulses=pick(self.silicon_pulses),
            silicon_rectifiers=DiodeParameters(*map(pick, self.silicon_rectifiers)),
        )

    def _arrays(self) -> tuple[Floats, ...]:
        return (
            *self.triodes,
            *self.pentodes,
            *self.diodes,
            *self.tube_rectifiers,
            *self.silicon_rectifiers,
            self.tube_peaks,
            self.tube_pulses,
            self.silicon_peaks,
            self.silicon_pulses,
        )

    def currents(self, volts: Floats) -> tuple[Floats, Floats]:
        """Port amps (..., m) and their Jacobian (..., m, m) at port volts (..., m). Amps flow from plus to minus inside the port."""
        u = np.asarray(volts, dtype=float)
        m = self.count
        amps = np.zeros(u.shape)
        slopes = np.zeros((*u.shape, m))
        at = self._triodes(u, amps, slopes, 0)
        at = self._pentodes(u, amps, slopes, at)
        at = self._diodes(u, amps, slopes, at)
        at = self._rectifiers(u, amps, slopes, at, self.tube_peaks, self.tube_pulses, self._tube_leg)
        self._rectifiers(u, amps, slopes, at, self.silicon_peaks, self.silicon_pulses, self._silicon_leg)
        return amps, slopes

    def _triodes(self, u: Floats, amps: Floats, slopes: Floats, at: int) -> int:
        n = self.triodes.mu.shape[-1]
        if n:
            g = np.arange(at, at + n)
            p = g + n
            found = triode_currents(u[..., g], u[..., p], self.triodes)
            amps[..., g], slopes[..., g, g] = grid_current(u[..., g])
            amps[..., p] = found.plate
            slopes[..., p, g] = found.plate_by_grid
            slopes[..., p, p] = found.plate_by_plate
        return at + 2 * n

    def _pentodes(self, u: Floats, amps: Floats, slopes: Floats, at: int) -> int:
        n = self.pentodes.mu.shape[-1]
        if n:
            g = np.arange(at, at + n)
            p, s = g + n, g + 2 * n
            found = pentode_currents(u[..., g], u[..., p], u[..., s], self.pentodes)
            amps[..., g], slopes[..., g, g] = grid_current(u[..., g])
            amps[..., p], amps[..., s] = found.plate, found.screen
            slopes[..., p, g], slopes[..., p, p], slopes[..., p, s] = (
                found.plate_by_grid,
                found.plate_by_plate,
                found.plate_by_screen,
            )
            slopes[..., s, g], slopes[..., s, p], slopes[..., s, s] = (
                found.screen_by_grid,
                found.screen_by_plate,
                found.screen_by_screen,
            )
        return at + 3 * n

    def _diodes(self, u: Floats, amps: Floats, slopes: Floats, at: int) -> int:
        n = self.diodes.ohms.shape[-1]
        if n:
            d = np.arange(at, at + n)
            amps[..., d], slopes[..., d, d] = diode_current(u[..., d], self.diodes)
        return at + n

    def _rectifiers(self, u: Floats, amps: Floats, slopes: Floats, at: int, peaks: Floats, pulses: Floats, leg: OnePort) -> int:
        n = peaks.shape[-1]
        if n:
            r = np.arange(at, at + n)
            current, slope = averaged_current(u[..., r], peaks, pulses, leg)
            amps[..., r], slopes[..., r, r] = -current, -slope
        return at + n

    def _tube_leg(self, v: Floats) -> tuple[Floats, Floats]:
        return rectifier_tube_current(v, RectifierTubeParameters(*(p[..., None] for p in self.tube_rectifiers)))

    def _silicon_leg(self, v: Floats) -> tuple[Floats, Floats]:
        return diode_current(v, DiodeParameters(*(p[..., None] for p in self.silicon_rectifiers)))


def _column(values: Sequence[float]) -> Floats:
    return np.array(values, dtype=float)


def port_bank(tubes: Sequence[TubeElement], diodes: Sequence[DiodeElement], rectifiers: Sequence[AveragedRectifier]) -> PortBank:
    """The ports of a circuit. Raises ValueError for a law there is no file for."""
    unknown = [t.name for t in tubes if t.law not in ("triode", "pentode")]
    if unknown:
        raise ValueError(f"no device law for {', '.join(unknown)}")
    triodes = [t for t in tubes if t.law == "triode"]
    pentodes = [t for t in tubes if t.law == "pentode"]
    vacuum = [r for r in rectifiers if r.perveance > 0.0]
    silicon = [r for r in rectifiers if r.perveance <= 0.0]
    ports = [
        *(Port(t.name, "grid", t.grid, t.cathode, 1e-8, -1.5, 3.0) for t in triodes),
        *(Port(t.name, "plate", t.plate, t.cathode, 1e-5, 150.0, 100.0) for t in triodes),
        *(Port(t.name, "grid", t.grid, t.cathode, 1e-8, -15.0, 12.0) for t in pentodes),
        *(Port(t.name, "plate", t.plate, t.cathode, 1e-4, 280.0, 150.0) for t in pentodes),
        *(Port(t.name, "screen", t.screen, t.cathode, 1e-5, 270.0, 150.0) for t in pentodes),
        *(Port(d.name, "diode", d.anode, d.cathode, 1e-6, 0.0, 100.0) for d in diodes),
        *(Port(r.name, "rectifier", r.plus, r.minus, 1e-3, 0.85 * r.peak, 100.0) for r in (*vacuum, *silicon)),
    ]
    return PortBank(
        ports=tuple(ports),
        triodes=TriodeParameters.stack([t.parameters for t in triodes]),
        pentodes=PentodeParameters.stack([t.parameters for t in pentodes]),
        diodes=DiodeParameters(
            _column([d.saturation for d in diodes]), _column([d.emission_volts for d in diodes]), _column([d.ohms for d in diodes])
        ),
        tube_peaks=_column([r.peak for r in vacuum]),
        tube_pulses=_column([r.pulses for r in vacuum]),
        tube_rectifiers=RectifierTubeParameters(_column([r.perveance for r in vacuum]), _column([r.ohms for r in vacuum])),
        silicon_peaks=_column([r.peak for r in silicon]),
        silicon_pulses=_column([r.pulses for r in silicon]),
        silicon_rectifiers=DiodeParameters(
            _column([r.saturation for r in silicon]), _column([r.emission_volts for r in silicon]), _column([r.ohms for r in silicon])
        ),
    )
