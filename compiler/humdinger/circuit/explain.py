"""Pages of the codes of elaboration (ELB) and of the graph checks (NET).

The examples are pieces of a spec. A test lays each over a complete amp: the bad one gives its code, the good one nothing.
"""

from __future__ import annotations

from ..diagnostics.pages import CodePage
from .explain_output import CONNECTION, INVERTERS, SERIES, SPEAKERS
from .explain_supply import DOUBLER, HEATERS_IN_SERIES, OPENED

_RECOVERY = (
    "  - {stage: common-cathode, id: recovery, tube: V3a, supply: B3, plate_load: 100k, cathode_resistor: 1k5, coupling: 22n 630V}\n"
)

_SIGNAL = (
    CodePage(
        "ELB-010",
        "unfed-stage",
        "A stage is fed by nothing.",
        "The signal starts at a stage of kind input; every other stage takes what the stage before it gives, or what the one named by "
        "`from` gives.",
        "tubes: {V3: 12AX7}\nsignal:\n  - {id: guitar, stage: common-cathode, tube: V3a, supply: B3, plate_load: 100k,\n"
        "     cathode_resistor: 1k5, coupling: 22n 630V}\n",
        "signal:\n  - {id: guitar, stage: input, grid_leak: 1M, grid_stopper: 33k}\n",
    ),
    CodePage(
        "ELB-011",
        "stage-after-inverter",
        "A stage that takes one signal follows a phase inverter, which gives two.",
        "Only a push-pull output stage takes both. A control or a gain stage belongs before the inverter.",
        "signal:\n  - {stage: volume, id: master, pot: 1M audio, control: MASTER}\n",
        "signal:\n  - {stage: volume, id: level, pot: 1M audio}\n",
    ),
    CodePage(
        "ELB-012",
        "input-not-first",
        "An input jack stands in the middle of the signal.",
        "The guitar comes in once, at the first stage.",
        "signal:\n  - {stage: input, id: second-jack, grid_leak: 1M}\n",
        "signal:\n  - {stage: input, id: guitar, grid_leak: 1M}\n",
    ),
    CodePage(
        "ELB-013",
        "direct-current-into-inverter",
        "A phase inverter whose grids stand above ground is fed through a DC path.",
        "Cathodyne and long-tailed pair set their own grid level; whatever feeds them has to be blocked by a capacitor, or be a plate they "
        "are meant to hang on.",
        "signal:\n  - {id: second, coupling: direct}\n",
        "signal:\n  - {id: second, coupling: 22n 630V}\n",
    ),
    CodePage(
        "ELB-014",
        "one-section-for-a-pair",
        "A long-tailed pair is given one triode section.",
        "It shares one cathode between two: name the whole twin, or two sections.",
        "signal:\n  - {id: inverter, tube: V3a}\n",
        "signal:\n  - {id: inverter, tube: V3}\n",
    ),
    CodePage(
        "ELB-015",
        "direct-current-into-follower",
        "A cathode follower with a bias of its own is fed through a DC path.",
        "Its grid stands near its cathode, tens of volts above ground. A pot or a grid leak before it would pull the grid down and cut the "
        "tube off.",
        "tubes: {V3: 12AX7}\nsignal:\n  - {stage: cathode-follower, id: follower, from: level, tube: V3a, supply: B3,\n"
        "     cathode_resistor: 47k 1W, coupling: 100n 630V}\n",
        "tubes: {V3: 12AX7}\nsignal:\n  - {stage: cathode-follower, id: follower, tube: V3a, supply: B3,\n"
        "     cathode_resistor: 47k 1W, coupling: 100n 630V}\n",
    ),
)

_OUTPUT = (
    CodePage(
        "ELB-016",
        "wrong-number-of-output-tubes",
        "The output stage is given more or fewer tubes than it takes.",
        "Single-ended takes one, or two in parallel; push-pull takes two, or two on each side.",
        "tubes: {V3: EL84, V4: EL84}\noutput: {tubes: [V2, V3, V4]}\n",
        "output: {tubes: [V2]}\n",
    ),
    CodePage(
        "ELB-017",
        "output-without-its-drive",
        "The last stage of the signal does not give what the output stage takes.",
        "Push-pull needs the two outputs of a phase inverter; single-ended needs one signal.",
        "tubes: {V3: EL84}\noutput: {topology: push-pull, tubes: [V2, V3], transformer: {type: push-pull, primary: 8k}}\n",
        "output: {topology: single-ended}\n",
    ),
    CodePage(
        "ELB-018",
        "output-grid-without-coupling-capacitor",
        "An output grid is not fed through a coupling capacitor.",
        "The plate of the stage before stands at a hundred volts or more; straight on the grid of an output tube that destroys it.",
        "signal:\n  - {id: driver, coupling: direct}\n",
        "signal:\n  - {id: driver, coupling: 22n 630V}\n",
    ),
    CodePage(
        "ELB-019",
        "no-such-tap",
        "Speaker or feedback hangs on a tap the output transformer does not have.",
        "The tap sets the load the tubes see.",
        "speaker: {tap: 16 ohm}\n",
        "speaker: {tap: 8 ohm}\n",
    ),
    CodePage(
        "ELB-020",
        "wrong-kind-of-section",
        "A stage is given a section of the wrong kind.",
        "Preamp stages take triode sections, output stages pentodes and beam tetrodes.",
        "signal:\n  - {id: first, tube: V2}\n",
        "signal:\n  - {id: first, tube: V1a}\n",
    ),
    CodePage(
        "ELB-021",
        "single-ended-transformer-on-a-pair",
        "A push-pull pair works into a single-ended output transformer.",
        "A pair needs a centre tap: B+ comes in there, and the idle currents of the two halves cancel in the core.",
        "output: {transformer: {type: single-ended}}\n",
        "output: {transformer: {type: push-pull}}\n",
    ),
    CodePage(
        "ELB-022",
        "no-bias-winding",
        "Fixed bias is asked for, and the power transformer has no bias winding.",
        "The negative supply comes from that winding.",
        "bias: {scheme: fixed, winding: bias}\n",
        "supply: {transformer: {bias: {volts: 55 V, current: 50 mA, basis: rms, resistance: [40]}}}\n",
    ),
)

_MODULATION = (
    CodePage(
        "ELB-023",
        "uneven-ladder",
        "The oscillator's ladder has not as many capacitors as resistors.",
        "Each section turns the phase with one capacitor and one resistor; three or four sections make the half turn that starts it.",
        "modulation:\n  oscillator: {capacitors: [22n 630V, 22n 630V, 22n 630V, 22n 630V]}\n",
        "modulation:\n  oscillator: {capacitors: [22n 630V, 22n 630V, 22n 630V]}\n",
    ),
    CodePage(
        "ELB-024",
        "no-such-section",
        "The speed control is to stand in a section the ladder does not have.",
        "`speed_section` counts from the plate, starting at 1.",
        "modulation:\n  oscillator: {speed_section: 4}\n",
        "modulation:\n  oscillator: {speed_section: 3}\n",
    ),
    CodePage(
        "ELB-025",
        "no-bias-supply",
        "Tremolo is to move the bias supply, and the output stage has cathode bias.",
        "Under cathode bias there is no supply to move; mix the tremolo into the output grids instead.",
        "modulation:\n  injection: {point: bias-supply, through: 470n 630V}\n",
        "modulation:\n  injection: {point: output-grids, through: 330k}\n",
    ),
    CodePage(
        "ELB-026",
        "feedback-into-wrong-stage",
        "Feedback is led to a stage with no cathode to spare for it.",
        "It enters at the foot of a cathode resistor: of a common-cathode stage, or of a long-tailed pair.",
        "feedback: {to: inverter}\n",
        "feedback: {to: driver}\n",
    ),
    CodePage(
        "ELB-027",
        "feedback-outside-the-loop",
        "Feedback is led to a stage that does not drive the output stage.",
        "What is fed back has to come out again at the speaker; else it is no loop.",
        "signal:\n  - {id: second, from: guitar}\nfeedback: {to: first}\n",
        "feedback: {to: driver}\n",
    ),
)

_MAINS = (
    CodePage(
        "ELB-040",
        "one-pole-two-conductors",
        "A mains switch with one pole is to open both line and neutral.",
        "One pole opens one conductor. A single pole belongs in the line; two poles are the safer choice.",
        "supply: {mains: {switch: {poles: 1, in: line-neutral}}}\n",
        "supply: {mains: {switch: {poles: 2, in: line-neutral}}}\n",
    ),
    CodePage(
        "ELB-041",
        "winding-resistance",
        "The high-tension winding's resistances do not match its taps.",
        "A centre-tapped winding has one for each half, a plain one has one. A single figure for two halves could mean the half or the "
        "whole, and B+ and winding current follow from it.",
        "supply: {transformer: {high_tension: {resistance: [55, 58]}}}\n",
        "supply: {transformer: {high_tension: {resistance: [110]}}}\n",
    ),
)

_NO_LOAD = CodePage(
    "ELB-045",
    "no-load-below-rated",
    "A winding's volts with nothing connected are below its rated volts.",
    "The rated volts hold at the rated current, and a load only takes volts away. The two figures are most likely exchanged, or one of "
    "them is of the whole winding and the other of a half.",
    "supply: {transformer: {high_tension: {volts: 200 V, no_load: 185 V}}}\n",
    "supply: {transformer: {high_tension: {volts: 200 V, no_load: 215 V}}}\n",
)

_SUPPLY = (
    CodePage(
        "ELB-042",
        "full-wave-needs-centre-tap",
        "A full-wave rectifier is put on a winding without a centre tap.",
        "Its return is the tap. A plain winding takes a bridge.",
        "supply: {rectifier: {arrangement: full-wave}}\n",
        "supply: {rectifier: {arrangement: bridge}}\n",
    ),
    CodePage(
        "ELB-043",
        "tube-bridge",
        "A rectifier tube is to make a bridge or a doubler.",
        "Its two plates share one cathode; a bridge needs two cathodes more, a doubler one for each half. A hybrid bridge puts silicon "
        "there.",
        "supply: {rectifier: {arrangement: bridge}}\n",
        "supply: {rectifier: {arrangement: full-wave}}\n",
    ),
    CodePage(
        "ELB-044",
        "no-centre-tap-lead",
        "A fuse or switch is to stand in the centre-tap lead of a winding that has no centre tap.",
        "The lead is not there.",
        "supply: {ht_fuse: {rating: T 250mA 500V, where: centre-tap}}\n",
        "supply: {ht_fuse: {rating: T 250mA 500V, where: winding}}\n",
    ),
    _NO_LOAD,
    CodePage(
        "ELB-046",
        "part-before-reservoir",
        "A choke or resistor stands before the first capacitor of the B+ filter.",
        "With a choke there it is a choke-input filter, whose voltage follows another law; this version does not solve it. Series "
        "resistance of the rectifier's legs is written as `plate_resistors`.",
        "supply:\n  filter:\n    - {node: B1, through: 100 5W}\n",
        "supply:\n  filter:\n    - {node: B2, through: 100 5W}\n",
    ),
    CodePage(
        "ELB-047",
        "standby-without-second-node",
        "The standby switch is to stand between the reservoir and the next node, and the filter has one node only.",
        "There is nothing behind it to switch off.",
        "supply:\n  filter:\n    - {node: B1, capacitor: 47u 450V}\n  standby: {where: between-reservoir-and-choke}\n",
        "supply:\n  standby: {where: after-reservoir}\n",
    ),
    CodePage(
        "ELB-048",
        "unfed-node",
        "A B+ node is given neither a resistor nor a choke from the node before it.",
        "Its capacitor would never be charged.",
        "supply:\n  filter:\n    - {node: B4, capacitor: 22u 450V}\n",
        "supply:\n  filter:\n    - {node: B4, through: 22k 1W, capacitor: 22u 450V}\n",
    ),
)

_HEATERS = (
    CodePage(
        "ELB-050",
        "tube-without-heater-winding",
        "No heater winding feeds a tube.",
        "A winding feeds `all` tubes that no other feeds, the `rectifier`, or the tubes it names.",
        "supply:\n  transformer:\n    heaters:\n      - {feeds: [rectifier]}\n",
        "supply:\n  transformer:\n    heaters:\n      - {feeds: [all]}\n",
    ),
    CodePage(
        "ELB-051",
        "heater-winding-volts",
        "The volts of the winding that feeds a tube are far from what its heater takes.",
        "Cold heaters starve the cathode, hot ones burn out. A 12AX7 and its like take 6.3 V or 12.6 V, depending on how their pins are "
        "joined.",
        "supply:\n  transformer:\n    heaters:\n      - {volts: 12.6 V, no_load: 13.4 V}\n",
        "supply:\n  transformer:\n    heaters:\n      - {volts: 6.3 V}\n",
    ),
    CodePage(
        "ELB-053",
        "heater-centre-tap",
        "The heaters are to be referred by the centre tap of a winding that has none.",
        "Two equal resistors across the winding make an artificial centre tap.",
        "supply: {heater_reference: {kind: centre-tap}}\n",
        "supply: {heater_reference: {kind: artificial-centre-tap}}\n",
    ),
    CodePage(
        "ELB-055",
        "no-cathode-voltage",
        "The heaters are to be raised by an output cathode under fixed bias.",
        "There the cathodes stand at ground; a divider from B+ raises the heaters instead.",
        "supply: {heater_reference: {to: output-cathode}}\n",
        "supply: {heater_reference: {to: elevated}}\n",
    ),
    CodePage(
        "ELB-057",
        "no-rectifier-cathode",
        "A heater winding is to be tied to the cathode of the rectifier tube, and there is none apart from a heater.",
        "`to-cathode` is for a rectifier tube whose heater and cathode are two things, such as an EZ81. In a GZ34 the heater is the "
        "cathode and the winding is tied by it; silicon has neither.",
        "supply: {heater_reference: {kind: to-cathode}}\n",
        "supply: {heater_reference: {kind: one-side}}\n",
    ),
    CodePage(
        "ELB-060",
        "no-such-net",
        "A part of a network is on a net of another stage that is not there.",
        "Such a net is written as the stage's id, a dot and the net's name, `first.plate`. A word without a dot is a net "
        "of the network alone.",
        "signal:\n  - {stage: network, id: side, parts: [{part: capacitor, value: 100p 500V, nets: [first.plat, ground]}]}\n",
        "signal:\n  - {stage: network, id: side, parts: [{part: capacitor, value: 100p 500V, nets: [first.plate, ground]}]}\n",
    ),
    CodePage(
        "ELB-061",
        "network-out-of-bounds",
        "A part of a network is on a net of the mains, of a winding or of protective earth.",
        "Those have sections of their own, where fuses, classes of capacitors and insulation are judged; a network would pass them by.",
        "signal:\n  - {stage: network, id: side, parts: [{part: capacitor, value: 100n, nets: [mains.line, ground]}]}\n",
        "signal:\n  - {stage: network, id: side, parts: [{part: capacitor, value: 100n 400V, nets: [B3, ground]}]}\n",
    ),
    CodePage(
        "ELB-062",
        "one-jack-arranged",
        "An input with one jack says how two are arranged.",
        "`arrangement` says what the second jack of an input is for; `jacks: 2` puts it in.",
        "signal:\n  - {id: guitar, arrangement: parallel}\n",
        "signal:\n  - {id: guitar, jacks: 2, arrangement: parallel}\n",
    ),
    CodePage(
        "ELB-070",
        "coupling-behind-the-inverter",
        "A master volume behind the phase inverter has a coupling capacitor of its own.",
        "Behind the inverter its coupling capacitors block DC and the wipers feed the output grids straight. `coupling` is for a master "
        "volume before an inverter.",
        "signal:\n  - {stage: master-volume, id: master, pot: 1M audio, coupling: 22n 400V}\n",
        "signal:\n  - {stage: master-volume, id: master, pot: 1M audio}\n",
    ),
    CodePage(
        "ELB-071",
        "direct-current-into-feedback-tone",
        "A feedback tone hangs on a plate or a cathode without a capacitor between.",
        "Its pots and resistors lead from the input to its own grid: the direct volts of the stage before would stand there and upset the "
        "bias.",
        "tubes: {V3: 12AX7}\nunused: {V3b: ground}\nsignal:\n  - {id: driver, coupling: direct}\n  - {stage: feedback-tone, id: tone, "
        "tube: V3a, supply: B3, plate_load: 100k,\n     cathode_resistor: 1k5, coupling: 22n 630V, bass: 1M linear, treble: 1M linear,\n"
        "     bass_capacitor: 2n2 400V, treble_capacitor: 220p 400V}\n",
        "tubes: {V3: 12AX7}\nunused: {V3b: ground}\nsignal:\n  - {id: driver, coupling: 22n 630V}\n  - {stage: feedback-tone, id: tone, "
        "tube: V3a, supply: B3, plate_load: 100k,\n     cathode_resistor: 1k5, coupling: 22n 630V, bass: 1M linear, treble: 1M linear,\n"
        "     bass_capacitor: 2n2 400V, treble_capacitor: 220p 400V}\n",
    ),
    CodePage(
        "ELB-072",
        "direct-current-on-the-send",
        "An effects loop hangs on a plate or a cathode without a capacitor before its send jack.",
        "The direct volts of the stage before would stand on the jack, and on whatever is plugged into it.",
        "tubes: {V3: 12AX7}\nunused: {V3b: ground}\nsignal:\n  - {id: driver, coupling: direct}\n"
        "  - {stage: effects-loop, id: loop, send: {series: 220k, shunt: 22k}}\n" + _RECOVERY,
        "tubes: {V3: 12AX7}\nunused: {V3b: ground}\nsignal:\n  - {id: driver, coupling: 22n 630V}\n"
        "  - {stage: effects-loop, id: loop, send: {series: 220k, shunt: 22k}}\n" + _RECOVERY,
    ),
)

_INJECTION = (
    CodePage(
        "ELB-110",
        "no-pair-to-move",
        "The tremolo is to move a long-tailed pair, and the amp has none.",
        "It works on the current of the pair's two tubes. A cathodyne has no gain to move.",
        "modulation:\n  injection: {point: inverter-tail, through: 47k}\n",
        "modulation:\n  injection: {point: bias-supply, through: 470n 630V}\n",
    ),
)

_GRAPH = (
    *_INJECTION,
    CodePage(
        "NET-001",
        "no-dc-path",
        "A point of the circuit has no DC path to ground.",
        "Reached through capacitors and control grids only, it drifts to whatever leakage makes of it. Most often a grid leak is missing "
        "behind a coupling capacitor.",
        "tubes: {V3: 12AX7}\nsignal:\n  - {stage: common-cathode, id: third, tube: V3a, supply: B3, plate_load: 100k,\n"
        "     cathode_resistor: 1k5, coupling: 22n 630V}\n",
        "tubes: {V3: 12AX7}\nsignal:\n  - {stage: common-cathode, id: third, tube: V3a, supply: B3, plate_load: 100k,\n"
        "     cathode_resistor: 1k5, coupling: 22n 630V, grid_leak: 1M}\n",
    ),
    CodePage(
        "NET-002",
        "floating-winding",
        "Nothing ties a winding to circuit ground.",
        "A floating winding takes any voltage by leakage and capacitance: a floating heater winding hums and strains the insulation "
        "between heaters and cathodes.",
        "supply:\n  transformer:\n    heaters:\n      - {volts: 6.3 V}\n      - {volts: 6.3 V, current: 1 A, feeds: [V2]}\n",
        "supply:\n  transformer:\n    heaters:\n      - {volts: 6.3 V, feeds: [all]}\n",
    ),
    CodePage(
        "NET-003",
        "shorted-source",
        "A winding or a B+ node is shorted: no resistance stands between its ends.",
        "It would blow a fuse at best. The heater winding of a rectifier tube whose cathode is its heater stands at B+, so a reference to "
        "ground on it shorts the supply.",
        "supply:\n  heater_reference:\n    - {kind: one-side, winding: H2, to: ground}\n",
        "supply:\n  heater_reference:\n    - {kind: one-side, winding: H1, to: ground}\n",
    ),
    CodePage(
        "NET-004",
        "both-ends-on-one-net",
        "Both ends of a part are on one net.",
        "It does nothing there, so something was meant to be elsewhere. A pot used as a variable resistor, its wiper on one end, is fine.",
    ),
    CodePage(
        "NET-005",
        "dead-end",
        "An end of a part is connected to nothing.",
        "A wire is missing, or the part is left over. Ends that are meant to stay free, as an unused tap, are declared so by the compiler.",
        "signal:\n  - {id: driver, from: guitar}\n",
        "signal:\n  - {id: driver, from: level}\n",
    ),
)

PAGES = {
    page.code: page
    for page in (
        *(*_SIGNAL, *_OUTPUT, *_MODULATION, *_MAINS, *_SUPPLY, *_HEATERS),
        *(*CONNECTION, *SPEAKERS, *SERIES, *INVERTERS, *DOUBLER, *HEATERS_IN_SERIES, *OPENED, *_GRAPH),
    )
}
"""Code -> page, in the order of the numbers."""
