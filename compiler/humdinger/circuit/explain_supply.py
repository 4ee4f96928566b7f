"""Pages of the codes of elaboration for rectifiers, filters and heaters of the less plain kinds (ELB-1xx)."""

from __future__ import annotations

from ..diagnostics.pages import CodePage

DOUBLER = (
    CodePage(
        "ELB-100",
        "hybrid-without-tube",
        "A hybrid bridge is to be made of silicon alone.",
        "Its upper half is the two plates of a rectifier tube, its lower half silicon. Of silicon alone it is a bridge.",
        "supply: {rectifier: {arrangement: hybrid-bridge}}\n",
        "supply: {rectifier: {arrangement: bridge}}\n",
    ),
    CodePage(
        "ELB-101",
        "doubler-without-two-reservoirs",
        "The first node of a doubler has not two capacitors in series.",
        "One half of the mains cycle charges the upper capacitor, the other half the lower. A resistor across each empties both.",
        "supply: {rectifier: {arrangement: doubler}}\n",
        "supply: {rectifier: {arrangement: doubler}, filter: [{node: B1, in_series: 2, balancing: 150k 3W}]}\n",
    ),
)
"""Of rectifiers on a winding without a tap."""
