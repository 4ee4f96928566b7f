"""The nonlinear one-ports of a circuit, evaluated all at once.

A port is a pair of nets with a current that depends on the volts of this and other ports: grid, plate and screen of a tube against its
cathode, a diode, an averaged rectifier. Devices of one law are evaluated together; any leading batch axes are allowed.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..records import record, replace
from .devices.averaged import averaged_current
from .devices.diode import DiodeParameters, diode_current
from .devices.grid import grid_current
from .devices.pentode import PentodeParameters, pentode_currents
from .devices.photocell import PhotocellParameters, photocell_siemens
from .devices.rectifier_tube import RectifierTubeParameters, rectifier_tube_current
from .devices.softplus import Floats
from .devices.triode import TriodeParameters, triode_currents
from .elements import DiodeElement, PhotocellElement, TubeElement
from .supply import AveragedRectifier


@record
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


class _Rows(NamedTuple):
    """Which rows of the port vectors belong to what; `flat`: places of the slopes in a flattened Jacobian, in the order of computing."""

    grids: slice
    triode_grids: slice
    pentode_grids: slice
    triode_plates: slice
    pentode_plates: slice
    screens: slice
    diodes: slice
    tube_rectifiers: slice
    silicon_rectifiers: slice
    cells: slice
    flat: NDArray[np.int64]

    @classmethod
    def of(cls, triodes: int, pentodes: int, diodes: int, vacuum: int, silicon: int, lights: Sequence[int] = ()) -> _Rows:
        """Rows for so many devices of each law, in the order of the bank."""
        ends = np.cumsum([0, triodes, pentodes, triodes, pentodes, pentodes, diodes, vacuum, silicon, len(lights)]).tolist()
        tg, pg, tp, pp, s, d, v, r, c = (slice(a, b) for a, b in pairwise(ends))
        grids = slice(0, triodes + pentodes)
        pairs = [(grids, grids), (tp, tg), (tp, tp), (pp, pg), (pp, pp), (pp, s), (s, pg), (s, pp), (s, s), (d, d), (v, v), (r, r)]
        every = np.arange(ends[-1])
        flat = np.concatenate([every[row] * ends[-1] + every[column] for row, column in pairs])
        # a cell's current goes with its own volts and with those of the diode that lights it
        lit = every[c] * ends[-1] + np.array([every[d][k] for k in lights], dtype=int)
        flat = np.concatenate([flat, every[c] * ends[-1] + every[c], lit])
        return cls(grids, tg, pg, tp, pp, s, d, v, r, c, flat)


@record(slots=False)
class PortBank:
    """All ports with the parameters of their laws. Order: triode grids, pentode grids, triode plates, pentode plates, screens,
    diodes, tube rectifiers, silicon rectifiers, photocells. Parameter arrays may carry leading batch axes."""

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
    photocells: PhotocellParameters
    lights: tuple[int, ...]
    """Which diode lights each cell."""

    @property
    def count(self) -> int:
        """Number of ports."""
        return len(self.ports)

    @cached_property
    def names(self) -> tuple[tuple[str, str], ...]:
        """(owner, kind) of every port."""
        return tuple((p.owner, p.kind) for p in self.ports)

    @cached_property
    def conductances(self) -> Floats:
        """Nominal siemens of the ports (m,)."""
        return _column([p.conductance for p in self.ports])

    @cached_property
    def starts(self) -> Floats:
        """Volts where a solver begins (m,)."""
        return _column([p.start for p in self.ports])

    @cached_property
    def limits(self) -> Floats:
        """Volts a port may move in one step (m,)."""
        return _column([p.limit for p in self.ports])

    @cached_property
    def batched(self) -> bool:
        """Whether parameters differ from sample to sample."""
        return any(np.ndim(value) > 1 for value in self._arrays())

    @cached_property
    def _rows(self) -> _Rows:
        laws = (self.triodes.mu, self.pentodes.mu, self.diodes.ohms, self.tube_peaks, self.silicon_peaks)
        triodes, pentodes, diodes, vacuum, silicon = (x.shape[-1] for x in laws)
        return _Rows.of(triodes, pentodes, diodes, vacuum, silicon, self.lights)

    def select(self, samples: NDArray[np.int64]) -> PortBank:
        """The ports of some samples of a batch; the bank itself where no parameter differs from sample to sample."""
        if not self.batched:
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
            photocells=PhotocellParameters(*map(pick, self.photocells)),
        )

    def _arrays(self) -> tuple[Floats, ...]:
        return (
            *self.triodes,
            *self.pentodes,
            *self.diodes,
            *self.tube_rectifiers,
            *self.silicon_rectifiers,
            *self.photocells,
            self.tube_peaks,
            self.tube_pulses,
            self.silicon_peaks,
            self.silicon_pulses,
        )

    def currents(self, volts: Floats) -> tuple[Floats, Floats]:
        """Port amps (..., m) and their Jacobian (..., m, m) at port volts (..., m). Amps flow from plus to minus inside the port."""
        u = np.asarray(volts, dtype=float)
        rows, m = self._rows, self.count
        grid_amps, grid_slope = grid_current(u[..., rows.grids])
        amps, slopes = [grid_amps], [grid_slope]
        if self.triodes.mu.size:
            t = triode_currents(u[..., rows.triode_grids], u[..., rows.triode_plates], self.triodes)
            amps.append(t.plate)
            slopes += t[1:]
        if self.pentodes.mu.size:
            p = pentode_currents(u[..., rows.pentode_grids], u[..., rows.pentode_plates], u[..., rows.screens], self.pentodes)
            amps += p[:2]
            slopes += p[2:]
        if self.diodes.ohms.size:
            current, slope = diode_current(u[..., rows.diodes], self.diodes)
            amps.append(current)
            slopes.append(slope)
        for r, peaks, pulses, leg in (
            (rows.tube_rectifiers, self.tube_peaks, self.tube_pulses, self._tube_leg),
            (rows.silicon_rectifiers, self.silicon_peaks, self.silicon_pulses, self._silicon_leg),
        ):
            if peaks.size:
                current, slope = averaged_current(u[..., r], peaks, pulses, leg)
                amps.append(-current)
                slopes.append(-slope)
        if self.lights:
            lights = list(self.lights)
            lit, by_volts = diode_current(u[..., rows.diodes][..., lights], DiodeParameters(*(p[..., lights] for p in self.diodes)))
            siemens, by_light = photocell_siemens(lit, self.photocells)
            across = u[..., rows.cells]
            amps.append(across * siemens)
            slopes += [siemens, across * by_light * by_volts]
        jacobian = np.zeros((*u.shape[:-1], m * m))
        jacobian[..., rows.flat] = np.concatenate(slopes, axis=-1)
        return np.concatenate(amps, axis=-1), jacobian.reshape(*u.shape, m)

    def _tube_leg(self, v: Floats) -> tuple[Floats, Floats]:
        return rectifier_tube_current(v, RectifierTubeParameters(*(p[..., None] for p in self.tube_rectifiers)))

    def _silicon_leg(self, v: Floats) -> tuple[Floats, Floats]:
        return diode_current(v, DiodeParameters(*(p[..., None] for p in self.silicon_rectifiers)))


def _column(values: Sequence[float]) -> Floats:
    return np.array(values, dtype=float)


def banked(banks: Sequence[PortBank]) -> PortBank:
    """Banks of the same ports that differ in the EMF of their rectifiers as one bank of a batch."""
    if len(banks) == 1:
        return banks[0]
    tube, silicon = (np.stack(peaks) for peaks in ([b.tube_peaks for b in banks], [b.silicon_peaks for b in banks]))
    return replace(banks[0], tube_peaks=tube, silicon_peaks=silicon)


def port_bank(
    tubes: Sequence[TubeElement],
    diodes: Sequence[DiodeElement],
    rectifiers: Sequence[AveragedRectifier],
    photocells: Sequence[PhotocellElement] = (),
) -> PortBank:
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
        *(Port(t.name, "grid", t.grid, t.cathode, 1e-8, -15.0, 12.0) for t in pentodes),
        *(Port(t.name, "plate", t.plate, t.cathode, 1e-5, 150.0, 100.0) for t in triodes),
        *(Port(t.name, "plate", t.plate, t.cathode, 1e-4, 280.0, 150.0) for t in pentodes),
        *(Port(t.name, "screen", t.screen, t.cathode, 1e-5, 270.0, 150.0) for t in pentodes),
        *(Port(d.name, "diode", d.anode, d.cathode, 1e-6, 0.0, 100.0) for d in diodes),
        *(Port(r.name, "rectifier", r.plus, r.minus, 1e-3, 0.85 * r.peak, 100.0) for r in (*vacuum, *silicon)),
        *(Port(c.name, "cell", c.a, c.b, 1e-5, 0.0, 100.0) for c in photocells),
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
        photocells=PhotocellParameters(
            _column([1.0 / c.dark_ohms for c in photocells]),
            _column([1.0 / c.bright_ohms for c in photocells]),
            _column([c.bright_amps for c in photocells]),
            _column([c.gamma for c in photocells]),
        ),
        lights=tuple([d.name for d in diodes].index(c.light) for c in photocells),
    )
