"""A linear circuit by its natural modes: one eigenvalue problem, and any transfer between ports at any s costs next to nothing.

Y x + Dt Γ D s x = b. With P = D Y^-1 Dt and P Γ = V diag(mu) V^-1 (mu: minus one over the poles):
x = Y^-1 b - s Y^-1 Dt Γ V diag(1/(1 + s mu)) V^-1 D Y^-1 b. Changing a conductance across a port is a change of rank one on top of that.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from .devices.softplus import Floats

Complexes = NDArray[np.complexfloating[Any, Any]]


class Modes:
    """Transfer impedances between ports. `ports` (p, n): the directions in which currents go in and volts are read."""

    def __init__(self, Y: Floats, D: Floats, Gamma: Floats, ports: Floats) -> None:
        k = ports.shape[0]
        solved = np.linalg.solve(Y, np.concatenate([ports.T, D.T], axis=1))
        found, vectors = np.linalg.eig(D @ solved[:, k:] @ Gamma)
        v = np.asarray(vectors, dtype=np.complex128)
        self.mu: Complexes = np.asarray(found, dtype=np.complex128)
        self.direct: Floats = np.asarray(ports @ solved[:, :k], dtype=np.float64)
        self.out: Complexes = np.asarray(ports @ solved[:, k:] @ Gamma @ v, dtype=np.complex128)
        self.into: Complexes = np.asarray(np.linalg.solve(v, D @ solved[:, :k]), dtype=np.complex128)

    def impedance(self, s: Complexes, first: int | None = None) -> Complexes:
        """Volts at port i per amp into port j at complex frequencies of any shape (...): (..., ports, ports); of the first ports only."""
        at = np.asarray(s, dtype=np.complex128)
        share = at[..., None] / (1.0 + at[..., None] * self.mu)
        return self.direct[:first, :first] - (self.out[:first] * share[..., None, :]) @ self.into[:, :first]


def changed(z: Complexes, at: list[int], siemens: Floats | Complexes) -> Complexes:
    """Transfer impedances with admittances added across some ports.

    z (..., p, p); at: the port numbers; siemens (..., len(at)); the leading axes broadcast.
    """
    d = np.asarray(siemens)[..., None]
    rows = z[..., at, :]
    inner = np.eye(len(at)) + d * rows[..., :, at]
    return z - z[..., :, at] @ np.linalg.solve(inner, d * rows)


def changed_entry(z: Complexes, at: list[int], siemens: Floats | Complexes, row: int, column: int) -> Complexes:
    """One entry (...) of what `changed` gives: a search asks for it hundreds of times, and most of the work is the other entries."""
    d = np.asarray(siemens)
    rows = z[..., at, :]
    inner = np.eye(len(at)) + d[..., None] * rows[..., :, at]
    drawn = np.linalg.solve(inner, (d * rows[..., :, column])[..., None])[..., 0]
    return z[..., row, column] - np.sum(z[..., row, at] * drawn, axis=-1)
