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

HEATERS_IN_SERIES = (
    CodePage(
        "ELB-102",
        "heaters-in-series",
        "Two heaters in series do not add up to the volts of their winding, or one of them is a cathode.",
        "They share the winding's volts; 6.3 V tubes stand in pairs across 12.6 V. A heater that is a cathode stands at B+ alone.",
        "tubes: {V3: 12AX7}\nunused: {V3a: ground, V3b: ground}\n"
        "supply:\n  transformer:\n    heaters:\n      - {current: 5 A, series: [[V1, V3]], volts: 6.3 V}\n",
        "tubes: {V3: 12AX7}\nunused: {V3a: ground, V3b: ground}\n"
        "supply:\n  transformer:\n    heaters:\n      - {current: 5 A, feeds: [all], volts: 6.3 V}\n",
    ),
    CodePage(
        "ELB-103",
        "heater-in-two-places",
        "The heater of a tube stands in two pairs in series, or twice in one.",
        "It has two ends: one on the winding, one on the other heater.",
        "supply:\n  transformer:\n    heaters:\n      - {series: [[V1, V1]]}\n",
        "supply:\n  transformer:\n    heaters:\n      - {volts: 6.3 V}\n",
    ),
)
"""Of heaters in series."""

OPENED = (
    CodePage(
        "ELB-104",
        "opened-doubler",
        "A fuse or switch stands between the diodes of a doubler and its reservoirs.",
        "Opened, it leaves the lower half charging. The load pulls the B+ below the joint of the two capacitors, and the upper one, an "
        "electrolytic, stands the wrong way round until it bursts. In the winding's lead a fuse stops both halves.",
        "supply: {rectifier: {arrangement: doubler}, filter: [{node: B1, in_series: 2, balancing: 150k 3W}],\n"
        "  ht_fuse: {rating: T 250mA 500V, where: before-reservoir}}\n",
        "supply: {rectifier: {arrangement: doubler}, filter: [{node: B1, in_series: 2, balancing: 150k 3W}],\n"
        "  ht_fuse: {rating: T 250mA 500V, where: winding}}\n",
    ),
)
"""Of what stands in a doubler's leads."""
