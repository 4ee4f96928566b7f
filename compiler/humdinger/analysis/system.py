"""A netlist in one condition as matrices.

Unknowns x: volts of the solved nets against circuit ground, then the currents of chokes and of transformer coils, then the core fluxes.
G x + Dt Γ D x' + Bt f(A x) = b: G conductances and incidence, D one row per dynamic state (capacitor: its voltage; coil: its current;
flux), Γ the capacitances, minus the inductances, and minus the turns that couple a flux into its coils. A (m, n) picks the control volts
of the nonlinear ports, B (m, n) injects their currents (equal to A for everything there is so far; kept apart for ports of another nature).

Output transformer: common flux. Unknown λ, row: sum n_j i_j - λ/Lm = 0; coil rows: v_j - R_j i_j - n_j λ' - Ll_j i_j' = 0. Passive by
construction, where pairwise couplings near 1 are not.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..circuit.netlist import GROUND, Netlist
from ..records import record, replace
from .devices.softplus import Floats
from .elements import Elements, elements_of
from .ports import PortBank, port_bank
from .results import Condition
from .supply import rectifier_elements

Complexes = NDArray[np.complexfloating[Any, Any]]

GMIN = 1e-14
"""Siemens from every net to ground: small enough not to be seen at a 1 MΩ grid leak (1e-12 is), enough to give a floating net a value."""


@record(slots=False)
class System:
    """A netlist in one condition as matrices; shapes in the module's head. `index`: net -> row; `size`: n; `nodes`: how many are nets.

    branch: choke name or coil name -> row of its current.
    """

    netlist: Netlist
    condition: Condition
    elements: Elements
    index: Mapping[str, int]
    branch: Mapping[str, int]
    size: int
    nodes: int
    G: Floats
    D: Floats
    Gamma: Floats
    A: Floats
    B: Floats
    b: Floats
    bank: PortBank

    @property
    def nets(self) -> tuple[str, ...]:
        """Solved nets in row order."""
        return self.elements.nets

    def dynamic(self) -> Floats:
        """Dt Γ D (n, n)."""
        return self.D.T @ self.Gamma @ self.D

    def row(self, net: str) -> int | None:
        """Row of a net; None for circuit ground. Raises KeyError for a net that is not solved."""
        return None if net == GROUND else self.index[net]


def with_omega(Y: Floats, C: Floats, omega: Floats) -> Complexes:
    """Y + jw C for every w: (frequencies, n, n). Written in place: sums and products of such size take longer than solving does."""
    found = np.empty((len(omega), *Y.shape), dtype=np.complex128)
    found.real = Y
    np.multiply(omega[:, None, None], C, out=found.imag)
    return found


class _Stamper:
    """Fills the matrices; ground is one extra row and column that is cut off at the end."""

    def __init__(self, elements: Elements, ports: PortBank) -> None:
        self.index = {net: row for row, net in enumerate(elements.nets)}
        self.nodes = len(self.index)
        coils = [coil for t in elements.transformers for coil in t.coils]
        self.branch = {name: self.nodes + k for k, name in enumerate([*(c.name for c in elements.inductors), *(c.name for c in coils)])}
        first_flux = self.nodes + len(self.branch)
        self.flux = {t.name: first_flux + k for k, t in enumerate(elements.transformers)}
        self.size = first_flux + len(self.flux)
        self.places = {**self.index, GROUND: self.size}
        self.elements = elements
        self.ports = ports

    def _rows(self, nets: list[str]) -> np.ndarray:
        return np.array([self.places[net] for net in nets], dtype=int)

    def conductances(self) -> Floats:
        n = self.size
        full = np.zeros((n + 1, n + 1))
        found = self.elements.resistors
        a, b = self._rows([r.a for r in found]), self._rows([r.b for r in found])
        g = 1.0 / np.array([r.value for r in found])
        # one row after the other, because adding at places of a flat array is the fast way
        places = np.concatenate([a, b, a, b]) * (n + 1) + np.concatenate([a, b, b, a])
        np.add.at(full.reshape(-1), places, np.concatenate([g, g, -g, -g]))
        nets = np.arange(self.nodes)
        full[nets, nets] += GMIN
        coils = [coil for t in self.elements.transformers for coil in t.coils]
        for branch in (*self.elements.inductors, *coils):
            row, start, end = self.branch[branch.name], self.places[branch.a], self.places[branch.b]
            full[start, row] += 1.0
            full[row, start] += 1.0
            full[end, row] -= 1.0
            full[row, end] -= 1.0
            full[row, row] -= branch.ohms
        for transformer in self.elements.transformers:
            row = self.flux[transformer.name]
            for coil in transformer.coils:
                full[row, self.branch[coil.name]] += coil.turns
            full[row, row] -= 1.0 / transformer.henries
        return full[:n, :n].copy()

    def states(self) -> tuple[Floats, Floats]:
        """D (s, n) and Γ (s, s)."""
        capacitors = self.elements.capacitors
        coils = [(t, coil) for t in self.elements.transformers for coil in t.coils]
        inductors = self.elements.inductors
        first_inductor, first_coil = len(capacitors), len(capacitors) + len(inductors)
        first_flux = first_coil + len(coils)
        total = first_flux + len(self.flux)
        d, gamma = np.zeros((total, self.size + 1)), np.zeros((total, total))
        rows = np.arange(len(capacitors))
        d[rows, self._rows([c.a for c in capacitors])] += 1.0
        d[rows, self._rows([c.b for c in capacitors])] -= 1.0
        gamma[rows, rows] = [c.value for c in capacitors]
        for k, choke in enumerate(inductors):
            d[first_inductor + k, self.branch[choke.name]] = 1.0
            gamma[first_inductor + k, first_inductor + k] = -choke.henries
        flux_state = {name: first_flux + k for k, name in enumerate(self.flux)}
        for k, (transformer, coil) in enumerate(coils):
            d[first_coil + k, self.branch[coil.name]] = 1.0
            gamma[first_coil + k, first_coil + k] = -coil.leakage
            gamma[first_coil + k, flux_state[transformer.name]] = -coil.turns
        for name, state in flux_state.items():
            d[state, self.flux[name]] = 1.0
        return d[:, : self.size].copy(), gamma

    def incidence(self) -> Floats:
        rows = np.arange(self.ports.count)
        a = np.zeros((self.ports.count, self.size + 1))
        a[rows, self._rows([p.plus for p in self.ports.ports])] += 1.0
        a[rows, self._rows([p.minus for p in self.ports.ports])] -= 1.0
        return a[:, : self.size].copy()


def at_mains(system: System, condition: Condition) -> System:
    """The same circuit at other mains volts: only its rectifiers differ. condition: what differs from the system's own are mains volts."""
    flat = system.elements
    elements = replace(flat, rectifiers=rectifier_elements(system.netlist, condition, flat.out))
    return replace(
        system, condition=condition, elements=elements, bank=port_bank(flat.tubes, flat.diodes, elements.rectifiers, flat.photocells)
    )


def build_system(netlist: Netlist, condition: Condition, elements: Elements | None = None) -> System:
    """The matrices of a netlist in a condition; `elements` replaces the flat circuit (fault and tolerance studies)."""
    flat = elements if elements is not None else elements_of(netlist, condition)
    bank = port_bank(flat.tubes, flat.diodes, flat.rectifiers, flat.photocells)
    stamper = _Stamper(flat, bank)
    d, gamma = stamper.states()
    a = stamper.incidence()
    return System(
        netlist=netlist,
        condition=condition,
        elements=flat,
        index=stamper.index,
        branch=stamper.branch,
        size=stamper.size,
        nodes=stamper.nodes,
        G=stamper.conductances(),
        D=d,
        Gamma=gamma,
        A=a,
        B=a,
        b=np.zeros(stamper.size),
        bank=bank,
    )
