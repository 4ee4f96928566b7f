"""Phase inverters put into a spec in the place of the one it has, as changes of it."""

from __future__ import annotations

from collections.abc import Mapping

PAIR = "tube: V3, supply: B3, plate_load: 100k 1W flameproof, cathode_resistor: 820, grid_leak: 1M, coupling: 47n 630V"
PARAPHASE = f"{{stage: paraphase, id: inverter, {PAIR}, divider: {{upper: 470k, lower: 10k}}}}"
FLOATING = f"{{stage: floating-paraphase, id: inverter, {PAIR}, seesaw: {{a: 470k, b: 510k, leak: 1M}}}}"
INTERSTAGE = (
    "{stage: interstage-transformer, id: inverter, tube: V3a, supply: B3, cathode_resistor: 820, cathode_bypass: 100u 25V, grid_leak: 1M,"
    " transformer: {ratio: 2, primary_inductance: 40 H, leakage_inductance: 100 mH, resistance: {primary: 600, secondary: 1600},"
    " gap_current: 12 mA, insulation: 1.5 kV, lead_colours: retma}}"
)
STILL = {"modulation": "~", "unused": "{V2a: ground}"}
"""Curlew or ruff without its tremolo, which comes in at the output grids."""


def instead(stage: str, at: int = 5, **more: str) -> Mapping[str, str]:
    """A stage of that text in the place of the one at `at` of the signal, with more keys; without a tremolo."""
    return STILL | {f"signal/{at}": stage} | {f"signal/{at}/{key}": value for key, value in more.items()}
