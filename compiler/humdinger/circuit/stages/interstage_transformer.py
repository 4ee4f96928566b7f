"""Interstage transformer: a driver triode whose plate load is a transformer with a centre-tapped secondary.

What it does: gives two outputs of opposite phase, alike by the winding and not by any tube, and grids with next to no resistance in their
way.

When to use it: for the sound of the oldest amps, and for output tubes that want much drive or draw grid current. It is heavy, dear, and
picks up hum: seat it away from the power transformer.

Topology: plate to the primary, its other end to the B+ node. The secondary's centre tap lies where the output grids return to: circuit
ground in cathode bias, the bias feed in fixed bias. The output stage's grid leaks lie across the halves and damp the winding.

Formulas: n turns of the whole secondary over the primary's; each half gives n/2. Load of the plate 2*Rg/n^2, Rg the leak across each half;
gain to each side (n/2)*mu*R'/(rp+R'+rw), R' = 2*Rg/n^2, rw the primary's copper (ideal transformer, standard algebra). Bass corner
(rp+rw parallel R')/(2*pi*L) (standard algebra; Radiotron Designer's Handbook ch. 5, from memory).

Limits: the plate current magnetises the core: the primary needs a gap made for it. Without the leaks the winding rings at its own
resonance.

Defaults: leakage inductance that puts the treble corner at 40 kHz with the leaks (common practice for a good part).
"""

from __future__ import annotations

from ..amounts import amount
from ..builder import Scope
from ..netlist import GROUND, InterstageTransformer, Pin

KIND = "interstage-transformer"
SECTION = "inverter"

LEAKAGE_SHARE = 1.0 / 500.0
"""Leakage over primary inductance where the spec gives none: that of a plainly wound part (common practice)."""


def elaborate(scope: Scope) -> None:
    """Ports: in, out-a (inverted), out-b, plate, cathode, grid, tap, supply.

    Roles: grid-leak, grid-stopper, cathode-resistor, cathode-bypass, transformer.
    """
    source = scope.port("in", scope.fed())
    scope.resistor("grid_leak", source, GROUND)
    grid = source
    if "grid_stopper" in scope.block:
        grid = scope.net("grid")
        scope.resistor("grid_stopper", source, grid)
    scope.port("grid", grid)
    plate = scope.port("plate", scope.net("plate"))
    cathode = scope.port("cathode", scope.net("cathode"))
    supply = scope.port("supply", scope.supply())
    scope.tube(scope.block.get("tube"), plate=plate, grid=grid, cathode=cathode)
    scope.resistor("cathode_resistor", cathode, GROUND)
    scope.capacitor("cathode_bypass", cathode, GROUND)
    fixed = scope.design.spec.block("bias").get("scheme") == "fixed"
    tap = scope.port("tap", scope.builder.net("bias.feed", "bias", "bias feed") if fixed else GROUND)
    outs = [scope.port(f"out-{letter}", scope.net(f"out-{letter}")) for letter in "ab"]
    block = scope.block.block("transformer")
    henries, ratio = amount(block, "primary_inductance"), amount(block, "ratio")
    if not henries or not ratio:
        return
    resistance = block.block("resistance")
    leakage = amount(block, "leakage_inductance")
    scope.keep(
        InterstageTransformer,
        "transformer",
        role="transformer",
        path=block.path,
        span=scope.block.span_of("transformer"),
        label="interstage transformer",
        pins=(Pin("P", plate), Pin("B", supply), Pin("S1", outs[0]), Pin("CT", tap), Pin("S2", outs[1])),
        ratio=ratio,
        henries=henries,
        leakage_henries=LEAKAGE_SHARE * henries if leakage is None else leakage,
        primary_resistance=amount(resistance, "primary") or 0.0,
        secondary_resistance=amount(resistance, "secondary") or 0.0,
        gap_amps=amount(block, "gap_current"),
        insulation_volts=amount(block, "insulation"),
        lead_colours=str(block.get("lead_colours", "")),
    )
