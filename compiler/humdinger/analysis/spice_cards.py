"""The device laws as SPICE cards: the same formulas as devices/, written as behavioural sources that ngspice evaluates.

Every soft knee is written max(z,0)+ln(1+exp(-abs(z))). A helper node carries E1 of each tube,
so that no expression is longer than it must be.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from math import pi

from .devices.averaged import FULLY_OPEN, quadrature
from .devices.diode import THERMAL_VOLTS
from .devices.grid import GRID_KNEE_VOLTS, GRID_OHMS, GRID_SOFT_VOLTS
from .devices.pentode import SCREEN_SMOOTHING
from .devices.photocell import FLOOR
from .elements import DiodeElement, Inductor, PhotocellElement, Transformer, TubeElement
from .supply import SILICON_AMPS, AveragedRectifier

LEAK_OHMS = 1e8
"""From each end of a bridge's winding to its minus terminal, in a transient."""

Node = Callable[[str], str]
"""Net name -> node name of the deck."""


def number(value: float) -> str:
    """A number with all its digits, in a form every SPICE reads (no unit letters)."""
    return repr(float(value))


def softplus(z: str) -> str:
    """ln(1+exp z) without overflow."""
    return f"(max({z},0)+ln(1+exp(-abs({z}))))"


def grid_card(name: str, grid: str, cathode: str) -> str:
    """Grid current."""
    z = f"((v({grid},{cathode})-{number(GRID_KNEE_VOLTS)})/{number(GRID_SOFT_VOLTS)})"
    return f"Bg_{name} {grid} {cathode} I={number(GRID_SOFT_VOLTS / GRID_OHMS)}*{softplus(z)}"


def tube_cards(tube: TubeElement, name: str, node: Node) -> list[str]:
    """A triode or pentode with its grid current."""
    plate, grid, cathode = node(tube.plate), node(tube.grid), node(tube.cathode)
    get = {"vct": 0.0, "beta": 0.0, "slope": 0.0, "slope_volts": 0.0} | dict(tube.parameters)
    vp = f"max(v({plate},{cathode}),0)"
    drive = f"(v({grid},{cathode})+{number(get['vct'])})"
    cards = [grid_card(name, grid, cathode)]
    if tube.law == "triode":
        z = f"{number(get['kp'])}*(1/{number(get['mu'])}+{drive}/sqrt({number(get['kvb'])}+{vp}*{vp}))"
        cards += [
            f"Bz_{name} z_{name} 0 V={z}",
            f"Be_{name} e_{name} 0 V={vp}/{number(get['kp'])}*{softplus(f'v(z_{name})')}",
            f"Bp_{name} {plate} {cathode} I={number(2.0 / get['kg1'])}*pow(max(v(e_{name}),0),{number(get['ex'])})",
        ]
        return cards
    screen = node(tube.screen)
    raw = f"v({screen},{cathode})"
    angle = f"atan({vp}/{number(get['kvb'])})"
    tilt = f"(1+{number(get['slope'])}*{vp})/{number(1.0 + get['slope'] * get['slope_volts'])}"
    to_screen = f"({number(1.0 / get['kg2'])}+{number(get['beta'] * 2.0 / get['kg1'])}*({number(0.5 * pi)}-{angle}))"
    power = f"pow(max(v(e_{name}),0),{number(get['ex'])})"
    cards += [
        f"Bs_{name} s_{name} 0 V=0.5*({raw}+sqrt({raw}*{raw}+{number(SCREEN_SMOOTHING)}))",
        f"Bz_{name} z_{name} 0 V={number(get['kp'])}*(1/{number(get['mu'])}+{drive}/v(s_{name}))",
        f"Be_{name} e_{name} 0 V=v(s_{name})/{number(get['kp'])}*{softplus(f'v(z_{name})')}",
        f"Bp_{name} {plate} {cathode} I={number(2.0 / get['kg1'])}*{power}*{angle}*{tilt}",
        f"Bq_{name} {screen} {cathode} I={power}*{to_screen}",
    ]
    return cards


def diode_model(name: str, saturation: float, emission_volts: float) -> str:
    """A diode model; several in series are one with a larger emission coefficient."""
    return f".model {name} d(is={number(saturation)} n={number(emission_volts / THERMAL_VOLTS)} rs=0 cjo=0 tnom=27)"


def diode_cards(diode: DiodeElement, name: str, node: Node) -> list[str]:
    """A diode with its series resistance."""
    return [
        f"R_{name} {node(diode.anode)} a_{name} {number(diode.ohms)}",
        f"D_{name} a_{name} {node(diode.cathode)} m_{name}",
        diode_model(f"m_{name}", diode.saturation, diode.emission_volts),
    ]


def photocell_cards(cell: PhotocellElement, name: str, light: str, node: Node, series_ohms: float) -> list[str]:
    """A photocell; the diode's current is read across the resistance in series with it. light: what the diode is called, node: anode's."""
    lit = f"max(v({light})/{number(series_ohms * cell.bright_amps)},0)"
    floor = number(FLOOR**cell.gamma)
    whole = (1.0 + FLOOR) ** cell.gamma - FLOOR**cell.gamma
    grown = f"(pow({lit}+{number(FLOOR)},{number(cell.gamma)})-{floor})"
    a, b = node(cell.a), node(cell.b)
    return [f"Bc_{name} {a} {b} I=v({a},{b})*({number(1.0 / cell.dark_ohms)}+{number(1.0 / (cell.bright_ohms * whole))}*{grown})"]


def _leg(r: AveragedRectifier, name: str, start: str, end: str, share: int = 1) -> list[str]:
    """Resistance and devices of one leg from start to end; share: how many legs share the emission volts of the path."""
    middle = f"x_{name}"
    cards = [f"R_{name} {start} {middle} {number(r.ohms / share)}"]
    if r.perveance > 0.0:
        perveance = r.perveance * share**1.5
        cards.append(f"B_{name} {middle} {end} I={number(perveance)}*pow(max(v({middle},{end}),0),1.5)")
    else:
        cards.append(f"D_{name} {middle} {end} m_{name}")
        cards.append(diode_model(f"m_{name}", r.saturation, r.emission_volts / share))
    return cards


def averaged_cards(r: AveragedRectifier, name: str, node: Node) -> list[str]:
    """The averaged rectifier: theta, one cell per quadrature point, and the weighted sum as the delivered current."""
    plus, minus = node(r.plus), node(r.minus)
    volts = f"v({plus},{minus})"
    clipped = f"max(min({volts}/{number(r.peak)},{number(FULLY_OPEN)}),{number(-FULLY_OPEN)})"
    cards = [f"Bt_{name} t_{name} 0 V=acos({clipped})"]
    terms = []
    for k, (x, weight) in enumerate(zip(*quadrature(), strict=True)):
        cell = f"{name}_{k}"
        cards.append(f"Bv_{cell} v_{cell} 0 V={number(r.peak)}*cos({number(x)}*v(t_{name}))-{volts}")
        cards += _leg(r, cell, f"v_{cell}", "0")
        terms.append(f"{number(weight / r.ohms)}*v(v_{cell},x_{cell})")
    cards.append(f"Bi_{name} {minus} {plus} I={number(r.pulses / pi)}*v(t_{name})*(")
    cards += [f"+ {term}+" for term in terms[:-1]]
    cards.append(f"+ {terms[-1]})")
    steps = 2.0 if r.arrangement == "doubler" and not r.late else 1.0
    cards.append(f".nodeset v({plus})={number(0.85 * r.peak * steps)}" if plus != "0" else f".nodeset v({minus})={number(-0.85 * r.peak)}")
    return cards


def real_cards(r: AveragedRectifier, name: str, node: Node, hertz: float) -> list[str]:
    """The rectifier as it is built: sine EMFs, source resistance and devices, for transients."""
    plus, minus = node(r.plus), node(r.minus)

    late = 180 if r.late else 0

    def sine(phase: int) -> str:
        return f"SIN(0 {number(r.peak + r.silicon_volts)} {number(hertz)} 0 0 {phase + late})"

    if r.arrangement == "hybrid-bridge":
        return _hybrid_cards(r, name, plus, minus, sine(0))
    if r.arrangement == "bridge":
        cards = [f"V_{name} {name}_a {name}_b {sine(0)}"]
        # with all four devices off, only leakage holds the winding: as its insulation would
        cards += [f"Rleak_{name}_{end} {name}_{end} {minus} {number(LEAK_OHMS)}" for end in "ab"]
        # the source resistance is split over the two devices of a path
        ends = ((f"{name}_a", plus), (f"{name}_b", plus), (minus, f"{name}_a"), (minus, f"{name}_b"))
        for k, (start, end) in enumerate(ends):
            cards += _leg(r, f"{name}_{k}", start, end, 2)
        return cards
    cards = []
    for k in range(r.pulses):
        cards.append(f"V_{name}_{k} {name}_e{k} {minus} {sine(180 * k)}")
        cards += _leg(r, f"{name}_{k}", f"{name}_e{k}", plus)
    return cards


def _hybrid_cards(r: AveragedRectifier, name: str, plus: str, minus: str, emf: str) -> list[str]:
    """A hybrid bridge: both plates of the tube to plus, silicon from minus to each end. The diodes are a standard one each, set to
    drop `silicon_volts` at SILICON_AMPS."""
    cards = [f"V_{name} {name}_a {name}_b {emf}"]
    cards += [f"Rleak_{name}_{end} {name}_{end} {minus} {number(LEAK_OHMS)}" for end in "ab"]
    for k, end in enumerate("ab"):
        cards += _leg(r, f"{name}_{k}", f"{name}_{end}", plus)
        cards.append(f"D_{name}_{end} {minus} {name}_{end} m_{name}_{end}")
        cards.append(diode_model(f"m_{name}_{end}", SILICON_AMPS * math.exp(-r.silicon_volts / (2.0 * THERMAL_VOLTS)), 2.0 * THERMAL_VOLTS))
    return cards


def inductor_cards(choke: Inductor, name: str, node: Node, amps: float | None) -> list[str]:
    """A choke with its resistance; amps: its initial current for a transient."""
    start = "" if amps is None else f" ic={number(amps)}"
    return [
        f"R_{name} {node(choke.a)} x_{name} {number(choke.ohms)}",
        f"L_{name} x_{name} {node(choke.b)} {number(choke.henries)}{start}",
    ]


def transformer_cards(transformer: Transformer, names: dict[str, str], name: str, node: Node, amps: dict[str, float] | None) -> list[str]:
    """Coupled inductors equal to the common-flux model: L_ij = Lm n_i n_j, plus the leakage on the diagonal."""
    cards, own = [], {}
    for coil in transformer.coils:
        label = names[coil.name]
        own[label] = (coil.turns, transformer.henries * coil.turns**2 + coil.leakage)
        start = "" if amps is None else f" ic={number(amps[coil.name])}"
        cards.append(f"R_{label} {node(coil.a)} x_{label} {number(coil.ohms)}")
        cards.append(f"L_{label} x_{label} {node(coil.b)} {number(own[label][1])}{start}")
    labels = list(own)
    for i, first in enumerate(labels):
        for second in labels[i + 1 :]:
            mutual = transformer.henries * own[first][0] * own[second][0]
            coupling = mutual / (own[first][1] * own[second][1]) ** 0.5
            cards.append(f"K_{name}_{i}_{labels.index(second)} L_{first} L_{second} {number(coupling)}")
    return cards
