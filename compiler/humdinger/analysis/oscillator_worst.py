"""The oscillator's start margin with every part of its ladder at the worst end of its tolerance.

For each shaft position the first-order change of the margin says which end is the worse for each part; then all parts are moved there at
once and the loop is solved again, so the result is exact for that corner. With L the loop and ' its slope over frequency, moving a part by
dL moves the phase-0 point and the margin there by Re dL - Re L' Im dL/Im L' (standard algebra); an admittance dy across port k makes
dz = -z[:, k] z[k, :] dy.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..circuit.netlist import Capacitor, Part, Resistor
from ..records import record
from .devices.softplus import Floats
from .modes import Complexes, changed
from .oscillator import AGED, GRID, LOWER, PLATE, POSITIONS, UPPER, Loop

COLD_HEATER = 0.9
"""Share of gm and plate conductance left when the heaters are 10 % low (own assumption: in proportion)."""
RESISTOR_TOLERANCE, CAPACITOR_TOLERANCE, POT_TOLERANCE = 0.05, 0.10, 0.20
"""Of parts whose tolerance nobody gave (common practice)."""
SHARE = AGED * COLD_HEATER
NUDGE = 1e-5
ROUNDS = 20


@record
class _Moved:
    """A part of the ladder: its port, its admittance value/(1) or s * value, and by what factor it may be off."""

    ports: tuple[int, ...]
    siemens: Floats
    """At each shaft position and port: (positions, ports); farads for a capacitor."""
    reactive: bool
    tolerance: float


def worst_margin(loop: Loop, ladder: Sequence[Part]) -> tuple[float, float] | None:
    """(margin, shaft position) of the worst corner over the shaft; None where the loop has no phase 0.

    The last probes of the loop are those of `ladder`, in its order.
    """
    positions = np.array(POSITIONS if loop.speed else (0.5,))
    hertz = loop.running_hertz(tuple(positions), SHARE)
    if not ladder or np.any(np.isnan(hertz)):
        return None
    parts = _parts(loop, ladder, positions)
    gain = -SHARE * loop.tube.transconductance
    z = loop.ports(2j * np.pi * hertz, positions, SHARE)
    slope = (gain * (loop.ports(2j * np.pi * hertz * (1.0 + NUDGE), positions, SHARE) - z)[..., GRID, PLATE]) / NUDGE
    moves = [_change(loop, z, part, hertz) * gain for part in parts]
    worse = [-np.sign(m.real - slope.real * m.imag / slope.imag) for m in moves]
    shift = -sum(w * m.imag for w, m in zip(worse, moves, strict=True)) / slope.imag
    margins = _solved(loop, parts, worse, positions, hertz, hertz * (1.0 + np.clip(shift, -0.5, 0.5)))
    if np.any(np.isnan(margins)):
        return None
    k = int(np.argmin(margins))
    return float(margins[k]), float(positions[k])


def _parts(loop: Loop, ladder: Sequence[Part], positions: Floats) -> list[_Moved]:
    first = loop.modes.direct.shape[0] - len(ladder)
    found: list[_Moved] = []
    for k, part in enumerate(ladder):
        same = np.ones((len(positions), 1))
        if isinstance(part, Resistor):
            found.append(_Moved((first + k,), same / part.ohms, False, part.tolerance or RESISTOR_TOLERANCE))
        elif isinstance(part, Capacitor):
            found.append(_Moved((first + k,), same * part.farads, True, part.tolerance or CAPACITOR_TOLERANCE))
    if loop.speed:
        track = np.array([loop.track(p) for p in positions])
        found.append(_Moved((LOWER, UPPER), track, False, POT_TOLERANCE))
    return found


def _change(loop: Loop, z: Complexes, part: _Moved, hertz: Floats) -> Complexes:
    """First-order change of z[GRID, PLATE] when the part's value goes up by its tolerance, per position."""
    dy = _off(part, np.ones(len(hertz)), 2j * np.pi * hertz)
    ports = list(part.ports)
    return -np.sum(z[..., GRID, ports] * z[..., ports, PLATE] * dy, axis=-1)


def _off(part: _Moved, sign: Floats, s: Complexes) -> Complexes:
    """What is added across the part's ports when its value is off by sign * tolerance: (positions, ports)."""
    factor = (1.0 + sign * part.tolerance)[:, None]
    if part.reactive:
        return s[:, None] * part.siemens * (factor - 1.0)
    return part.siemens * (1.0 / factor - 1.0) + 0j


def _solved(loop: Loop, parts: list[_Moved], worse: list[Floats], positions: Floats, before: Floats, here: Floats) -> Floats:
    """|L| where its phase is 0, per position, by the secant method; nan where it does not settle."""
    ports = [port for part in parts for port in part.ports]

    def gain(hertz: Floats) -> Complexes:
        s = 2j * np.pi * hertz
        off = np.concatenate([_off(part, sign, s) for part, sign in zip(parts, worse, strict=True)], axis=-1)
        z = changed(loop.ports(s, positions, SHARE), ports, off)
        return -SHARE * loop.tube.transconductance * z[..., GRID, PLATE]

    at_before, at_here = gain(before), gain(here)
    for _ in range(ROUNDS):
        with np.errstate(divide="ignore", invalid="ignore"):
            step = at_here.imag * (here - before) / (at_here.imag - at_before.imag)
        step = np.clip(np.where(np.isfinite(step), step, 0.0), -0.3 * here, 0.3 * here)
        before, at_before = here, at_here
        here = here - step
        at_here = gain(here)
        if np.all(np.abs(step) <= 1e-10 * here):
            break
    settled = (np.abs(at_here.imag) < 1e-6 * np.abs(at_here)) & (at_here.real > 0.0)
    return np.where(settled, np.abs(at_here), np.nan)
