"""Optical cell: a photoresistor in the signal, lit by the tremolo.

What it does: passes on a share of the signal that the light sets: a divider of a fixed resistor and a photoresistor (LDR). The
photoresistor stands in one case with the diode that lights it, so it is one part with four leads, and only light joins signal and tremolo.

When to use it: where the tremolo must put no slow wave into the signal at all: nothing thumps, no bias is moved, and it works ahead of
any output stage. It is slower and softer in its wave than the others.

Topology: `shunt`: the fixed resistor from the input to the output, the cell from there to ground; light makes it softer. `series`: the cell
from the input to the output, the fixed resistor from there to ground; light makes it louder. `modulation.injection` of point `optical`
lights the cell.

Formulas: shunt: share = Rc/(R + Rc); series: R/(R + Rc) (standard algebra), Rc by the law 1/Rc = 1/dark + (1/bright)*(i/at)^gamma of the
diode's current i (the power law is textbook for cadmium cells, from memory; analysis/devices/photocell has the whole of it). Depth without
loads: the two shares at the brightest and the darkest moment; what is printed is the solved amp.

Limits: volts and watts of the cell: a few hundred volts of direct current or a large signal may not stand across it, so a coupling
capacitor belongs ahead of it. Time: the cell takes milliseconds to brighten and tens to hundreds to darken, so it does not follow a fast
tremolo all the way, and the computed depth is the most there can be. Cells scatter by a factor of two and drift: meter each one.

Defaults: gamma 0.8 (cadmium cells 0.7 to 0.9, from memory); the diode drops 1.9 V (red or green, from memory).
"""

from __future__ import annotations

from ...units.values import Quantity
from ..amounts import amount
from ..builder import Fill, Scope
from ..netlist import GROUND, Coupler, Pin

KIND = "optical-cell"
SECTION = "preamp"

GAMMA = Fill("0.8", 0.8, "cadmium cells have 0.7 to 0.9 (from memory)")
LIGHT_VOLTS = Fill("1.9 V", Quantity(1.9, "V"), "what a red or green diode drops (from memory)")


def elaborate(scope: Scope) -> None:
    """Ports: in, out, light (the diode's anode; its cathode is on ground). Roles: resistor, cell. Facts: arrangement, cell (ref)."""
    source, out = scope.port("in", scope.fed()), scope.port("out", scope.net("out"))
    light = scope.port("light", scope.net("light", label=f"{scope.id} light, anode"))
    shunt = scope.block.get("arrangement") == "shunt"
    pins = (out, GROUND) if shunt else (source, out)
    block = scope.block.block("cell")
    gamma = scope.value("gamma", GAMMA, block)[0]
    volts = scope.value("light_volts", LIGHT_VOLTS, block)[0]
    scope.resistor("resistor", *((source, out) if shunt else (out, GROUND)))
    ref = scope.keep(
        Coupler,
        "coupler",
        role="cell",
        path=block.path,
        span=scope.block.span_of("cell"),
        label="optical cell",
        note="Light joins its halves and nothing else. Keep it dark: black sleeve over a case that is not.",
        pins=(Pin("a", light), Pin("k", GROUND), Pin("1", pins[0]), Pin("2", pins[1])),
        dark_ohms=amount(block, "dark") or 1e6,
        bright_ohms=amount(block, "bright") or 1e3,
        bright_amps=amount(block, "at") or 1e-3,
        gamma=float(gamma),
        light_volts=volts.value if isinstance(volts, Quantity) else 1.9,
        light_amps=amount(block, "light_current"),
        cell_volts=amount(block, "volts"),
        watts=amount(block, "power"),
        rise_seconds=amount(block, "rise"),
        fall_seconds=amount(block, "fall"),
    )
    scope.facts.update(arrangement="shunt" if shunt else "series", cell=ref)
