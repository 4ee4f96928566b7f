"""The amp while its tremolo runs: every port's volts over one turn of the slow wave, and the gain the signal finds at each moment.

Harmonic balance. The oscillator's plate is held to a sine of its estimated swing, the oscillator's own tube standing still; what follows
from it is periodic. With Y the amp linearised at rest, du the ports' departure from rest and phi(du) what their laws give beyond the
linear part, du = du_linear - Z phi(du), Z = A (Y + jkw C)^-1 Bt at every harmonic k: Newton on du at INSTANTS moments at once. Bias
shifts, grid current, cut-off and the charge of coupling and cathode capacitors are in it.

Depth: at each moment the ports' slopes as they then are, the gain from the input to the speaker at 1 kHz (valid because the wave changes
little in one cycle of the signal); from loudest to softest in decibels, and m = (loudest - softest)/(loudest + softest). Checked against
two tones stepped through time with ngspice in tests/analysis/test_slow_wave.py.
"""

from __future__ import annotations

import math

import numpy as np

from ..circuit.netlist import GROUND, TubeSection
from ..records import record
from .devices.softplus import Floats
from .operating import Solved
from .smallsignal import GAIN_HERTZ, SOURCE_OHMS
from .system import with_omega

INSTANTS = 24
"""Moments of one turn: 12 and more agree with 48 within 0.1 dB of depth where no tube is cut off."""
STIFF_SIEMENS = 1.0
ITERATIONS = 40
TOLERANCE = 1e-6
REACH = 3.0
"""Times what a DC solution lets a port move in one step: waves are of the size of the bias, and begin from a solution."""
STEPS = (1.0, 0.5, 0.25, 0.1)
"""Shares of the wave that are tried first where the whole is not found at once."""
FAINT = 1e-3
"""Softer than this share of the loudest counts as silence: 60 dB."""


@record(slots=False)
class SlowWave:
    """One turn of the wave. volts (instants, n): nets at each moment; ports (instants, m) volts; gains (instants,) input to speaker."""

    solved: Solved
    volts: Floats
    ports: Floats
    gains: Floats

    def span(self, net: str) -> tuple[float, float]:
        """Least and most volts of a net against circuit ground."""
        if net == GROUND:
            return 0.0, 0.0
        row = self.volts[:, self.solved.system.index[net]]
        return float(row.min()), float(row.max())

    def port_span(self, owner: str, kind: str) -> tuple[float, float]:
        """Least and most volts of a port ("V1a", "grid"). Raises KeyError."""
        return _ends(self.ports[:, self._place(owner, kind)])

    def amps(self, owner: str, kind: str) -> Floats:
        """Amps of a port at each moment (instants,). Raises KeyError."""
        return self.solved.system.bank.currents(self.ports)[0][:, self._place(owner, kind)]

    def rest_amps(self, owner: str, kind: str) -> float:
        """Amps of a port with no wave. Raises KeyError."""
        return float(self.solved.i[self._place(owner, kind)])

    def first_harmonic(self, net: str) -> float:
        """Peak volts of a net at the rate of the wave."""
        return float(abs(np.fft.rfft(self.volts[:, self.solved.system.index[net]])[1]) * 2.0 / len(self.volts))

    def _place(self, owner: str, kind: str) -> int:
        for k, port in enumerate(self.solved.system.bank.ports):
            if (port.owner, port.kind) == (owner, kind):
                return k
        raise KeyError(f"{owner} has no {kind}")

    @property
    def loudest(self) -> float:
        """Volts at the speaker per volt at the input."""
        return float(self.gains.max())

    @property
    def softest(self) -> float:
        """The same; silence is FAINT of the loudest."""
        return max(float(self.gains.min()), FAINT * self.loudest)


def _ends(row: Floats) -> tuple[float, float]:
    return float(row.min()), float(row.max())


def decibels(loudest: float, softest: float) -> float:
    """From loudest to softest."""
    return 20.0 * math.log10(loudest / softest)


def slow_wave(solved: Solved, oscillator: TubeSection, hertz: float, peak_volts: float, instants: int = INSTANTS) -> SlowWave | None:
    """The amp over one turn; None where no periodic solution is found.

    solved: the tremolo on and the intensity where it is wanted. peak_volts: at the oscillator's plate.
    """
    system = solved.system
    plate = system.index[oscillator.plate]
    still = np.array([port.owner == oscillator.ref for port in system.bank.ports])
    rest, slopes = solved.slopes.copy(), solved.slopes
    rest[still] = 0.0
    y = solved.Y - system.B.T @ (slopes - rest) @ system.A
    y[plate, plate] += STIFF_SIEMENS
    c = system.dynamic()
    harmonics = with_omega(y, c, 2.0 * np.pi * hertz * np.arange(instants // 2 + 1))
    drive = np.zeros((system.size, 1))
    drive[plate] = STIFF_SIEMENS * peak_volts
    sides = np.linalg.solve(harmonics, np.concatenate([system.B.T, drive], axis=1).astype(complex))
    nets, linear = sides[..., :-1], sides[1, :, -1]
    turn = np.exp(2j * np.pi * np.arange(instants) / instants)
    straight = np.real(turn[:, None] * (system.A @ linear))
    around = np.fft.irfft(system.A @ nets, instants, axis=0)
    found = _balance(solved, rest, still, straight, around)
    if found is None:
        return None
    moved, beyond = found
    x = np.real(turn[:, None] * linear) - np.fft.irfft((nets @ np.fft.rfft(beyond, axis=0)[..., None])[..., 0], instants, axis=0)
    ports = solved.u + moved
    return SlowWave(solved, solved.x + x, ports, _gains(solved, still, rest, ports, y, c))


def _balance(solved: Solved, rest: Floats, still: Floats, straight: Floats, around: Floats) -> tuple[Floats, Floats] | None:
    """The ports' departure from rest and what their laws give beyond the linear part, (instants, m) each."""
    start = np.zeros_like(straight)
    for share in STEPS:
        found = _newton(solved, rest, still, share * straight, around, start)
        if found is not None and share == 1.0:
            return found
        if found is not None:
            break
    else:
        return None
    while share < 1.0:  # from the share that was found upwards
        start, share = found[0], min(1.0, 1.6 * share)
        found = _newton(solved, rest, still, share * straight, around, start)
        if found is None:
            return None
    return found


def _newton(solved: Solved, rest: Floats, still: Floats, straight: Floats, around: Floats, start: Floats) -> tuple[Floats, Floats] | None:
    bank, n, m = solved.system.bank, *straight.shape
    shift = (np.arange(n)[:, None] - np.arange(n)) % n
    blocks = around[shift]  # (n, n, m, m)
    here = start
    for iteration in range(ITERATIONS):
        amps, slopes = bank.currents(solved.u + here)
        beyond = np.where(still, 0.0, amps - solved.i - here @ rest.T)
        slopes = np.where(still[:, None], 0.0, slopes - rest)
        residual = here - straight + np.einsum("abij,bj->ai", blocks, beyond)
        matrix = np.eye(n * m) + np.matmul(blocks, slopes[None]).transpose(0, 2, 1, 3).reshape(n * m, n * m)
        step = -np.linalg.solve(matrix, residual.reshape(-1)).reshape(n, m)
        if not np.all(np.isfinite(step)):
            return None
        over = max(float((np.abs(step) / (REACH * bank.limits)).max()), 1.0)
        here = here + step / over / (3.0 if iteration > 15 and iteration % 3 == 0 else 1.0)
        if over == 1.0 and float((np.abs(step) / (1.0 + np.abs(here))).max()) < TOLERANCE:
            amps = bank.currents(solved.u + here)[0]
            return here, np.where(still, 0.0, amps - solved.i - here @ rest.T)
    return None


def _gains(solved: Solved, still: Floats, rest: Floats, ports: Floats, y: Floats, c: Floats) -> Floats:
    """Size of the gain from the input to the speaker at each moment (instants,)."""
    system, netlist = solved.system, solved.system.netlist
    source, out = system.index.get(netlist.input_net), system.index.get(netlist.output_net)
    if source is None or out is None:
        return np.ones(len(ports))
    slopes = np.where(still[:, None], 0.0, system.bank.currents(ports)[1] - rest)
    side = np.zeros(system.size, dtype=complex)
    side[source] = 1.0 / SOURCE_OHMS
    here = (y + system.B.T @ slopes @ system.A).astype(complex) + 2j * np.pi * GAIN_HERTZ * c
    here[:, source, source] += 1.0 / SOURCE_OHMS
    found = np.linalg.solve(here, np.broadcast_to(side, (len(ports), system.size))[..., None])
    return np.abs(found[:, out, 0])
