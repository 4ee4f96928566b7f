"""Pages of the codes of elaboration for output tubes, speakers and capacitors in series (ELB-08x)."""

from __future__ import annotations

from ..diagnostics.pages import CodePage

_NO_SCREENS = "supply: {filter: [{node: B1}, {node: B2, feeds: [output-plates]}]}\n"
_TAPPED = "output: {connection: ultralinear, transformer: {screen_tap: 43 %}}\n"

SPEAKERS = (
    CodePage(
        "ELB-084",
        "series-parallel-of-four",
        "Another number of speakers than four is to be wired in series-parallel.",
        "Series-parallel is two rows of two: the impedance of one, the power of four.",
        "speaker: {count: 3, wiring: series-parallel}\n",
        "speaker: {count: 4, wiring: series-parallel}\n",
    ),
    CodePage(
        "ELB-085",
        "speakers-without-wiring",
        "There are several speakers, and the spec does not say how they are wired.",
        "In series impedances add, in parallel they divide; what the output tubes see follows from it.",
        "speaker: {count: 2}\n",
        "speaker: {count: 2, wiring: series}\n",
    ),
)
"""Of several speakers."""

SERIES = (
    CodePage(
        "ELB-086",
        "series-without-balancing",
        "Capacitors stand in series, and nothing shares the volts out between them.",
        "Their leakage decides, and the best of them gets the most volts. A resistor across each holds the middle, and empties both.",
        "supply: {filter: [{node: B1, in_series: 2}]}\n",
        "supply: {filter: [{node: B1, in_series: 2, balancing: 220k 3W}]}\n",
    ),
    CodePage(
        "ELB-087",
        "balancing-without-a-series",
        "A capacitor that stands alone has balancing resistors.",
        "They belong across capacitors in series; across one alone a resistor is a bleeder.",
        "supply: {filter: [{node: B1, balancing: 220k 3W}]}\n",
        "supply: {filter: [{node: B1, bleeder: 220k 3W}]}\n",
    ),
)
"""Of capacitors in series."""

INVERTERS = (
    CodePage(
        "ELB-090",
        "divider-on-driven-grids",
        "A paraphase stands before output grids that a bias supply or a tremolo drives.",
        "What drives its second grid leads from an output grid to ground: it would take bias from that tube alone, or pass the tremolo on.",
        "tubes: {V6: 12AX7}\nsignal:\n  - {id: splitter, stage: paraphase, from: second, tube: V6, supply: B3, plate_load: 100k,\n"
        "     cathode_resistor: 820, divider: {upper: 470k, lower: 10k}, coupling: 47n 630V}\n",
        "signal:\n  - {id: inverter, stage: long-tailed-pair, tube: V3}\n",
    ),
)
"""Of phase inverters."""

CONNECTION = (
    CodePage(
        "ELB-080",
        "node-that-feeds-no-screen",
        "A B+ node is to feed the screens, and the screens hang elsewhere.",
        "In ultralinear connection they hang on the output transformer, in triode connection on the plates.",
        "output: {connection: triode, screen_stopper: 100 1W}\nsupply: {filter: [{node: B1}, {node: B2, feeds: [screens]}]}\n",
        "output: {connection: pentode}\nsupply: {filter: [{node: B1}, {node: B2, feeds: [screens]}]}\n",
    ),
    CodePage(
        "ELB-081",
        "no-screen-tap",
        "Ultralinear connection is asked for, and the output transformer has no screen taps.",
        "Say where they are, in percent of the turns from B+ to the plate, or connect the screens otherwise.",
        f"output: {{connection: ultralinear}}\n{_NO_SCREENS}",
        f"{_TAPPED}{_NO_SCREENS}",
    ),
    CodePage(
        "ELB-082",
        "screen-tap-outside-the-winding",
        "A screen tap stands at an end of the winding or outside it.",
        "At B+ it would be pentode connection, at the plate triode connection; both are written as `connection`.",
        "output: {transformer: {screen_tap: 100 %}}\n",
        "output: {transformer: {screen_tap: 43 %}}\n",
    ),
    CodePage(
        "ELB-083",
        "screen-tap-turned-round",
        "Feedback would turn the primary of a single-ended ultralinear stage round.",
        "The tap of such a primary lies near one end. Turned round, it would give the screen another share of the plate's swing.",
        f"{_TAPPED}{_NO_SCREENS}feedback: {{from: 8 ohm, to: first, resistor: 10k 1W, shunt: 100}}\n",
        f"{_TAPPED}{_NO_SCREENS}feedback: {{from: 8 ohm, to: driver, resistor: 10k 1W, shunt: 100}}\n",
    ),
)
"""Of single-ended and push-pull outputs alike."""
