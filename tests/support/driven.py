"""Systems driven by ideal sources, and amps with tubes that are exactly linear: what textbook formulas speak of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from humdinger.analysis.operating import Solved, conditions
from humdinger.analysis.results import Condition, Convergence
from humdinger.analysis.smallsignal import SmallSignal, linearise
from humdinger.analysis.system import System, build_system
from humdinger.circuit.netlist import Netlist

STIFF_SIEMENS = 1e4


def nominal(netlist: Netlist) -> Condition:
    """The nominal condition of a netlist."""
    return conditions(netlist)[0]


def stiff(system: System, volts: Mapping[str, float]) -> System:
    """The system with nets held at given volts by 0.1 mΩ sources."""
    g, b = system.G.copy(), system.b.copy()
    for net, value in volts.items():
        row = system.index[net]
        g[row, row] += STIFF_SIEMENS
        b[row] += STIFF_SIEMENS * value
    return replace(system, G=g, b=b)


def linear(netlist: Netlist, tubes: Mapping[str, tuple[float, float]]) -> SmallSignal:
    """The small-signal amp with every triode given by (mu, rp in ohms) and no grid current, instead of by its law at an operating point."""
    system = build_system(netlist, nominal(netlist))
    m = system.bank.count
    slopes = np.zeros((m, m))
    at = {(port.owner, port.kind): k for k, port in enumerate(system.bank.ports)}
    for section, (mu, rp) in tubes.items():
        grid, plate = at[section, "grid"], at[section, "plate"]
        slopes[plate, grid], slopes[plate, plate] = mu / rp, 1.0 / rp
    zero, none = np.zeros(system.size), np.zeros(m)
    Y = system.G + system.B.T @ slopes @ system.A
    return linearise(Solved(system, zero, none, none, slopes, Y, Convergence(True, 0, 0.0)))


def impedance(found: SmallSignal, net: str, hertz: float = 1000.0, back: str = "0") -> complex:
    """Volts per amp driven into a net and out of another."""
    side = np.zeros(found.system.size)
    side[found.system.index[net]] = 1.0
    if back != "0":
        side[found.system.index[back]] = -1.0
    x = found.response(side, [hertz])[0]
    return complex(x[found.system.index[net]] - (x[found.system.index[back]] if back != "0" else 0.0))
