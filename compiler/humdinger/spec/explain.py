"""Pages of the codes of the language passes: SCH (the shape of the spec), UNI (values), NAM (names).

The examples are pieces of a spec. A test lays each over a complete small amp: the bad one gives its code and no other, the good
one nothing.
"""

from __future__ import annotations

from ..diagnostics.pages import CodePage

_TREMOLO = (
    "tubes: {V3: 12AX7}\nmodulation:\n  kind: tremolo\n"
    "  oscillator:\n    {topology: phase-shift, tube: V3a, supply: B3, plate_load: 220k, cathode_resistor: 2k2, cathode_bypass: 100u 63V,\n"
    "    capacitors: [22n 630V, 22n 630V, 22n 630V], resistors: [1M, 220k, 1M], coupling: 100n 630V}\n"
    "  controls: {speed: {pot: 1M audio}, intensity: {pot: 500k linear}}\n"
)
_CELL = "signal:\n  - {stage: optical-cell, id: pulse, arrangement: series, resistor: 220k, cell: {dark: 1M, bright: 2k, at: 1 mA}}\n"

_SHAPE = (
    CodePage(
        "SCH-001",
        "missing-key",
        "A key is missing that has no honest default.",
        "The compiler fills in the trade's usual values where there is one, and shows them with `humdinger show`. This value "
        "differs from amp "
        "to amp, so only the builder knows it; the note says what it is needed for.",
        "signal:\n  - stage: volume\n    id: second-level\n    control: MASTER\n",
        "signal:\n  - stage: volume\n    id: second-level\n    control: MASTER\n    pot: 1M audio\n",
    ),
    CodePage(
        "SCH-002",
        "unknown-key",
        "A key stands where the language has no such key.",
        "It is misspelled, or belongs to another section or kind of stage. Passing over it would leave out what the builder asked for.",
        "signal:\n  - id: first\n    plate_lode: 100k\n",
        "signal:\n  - id: first\n    plate_load: 100k\n",
    ),
    CodePage(
        "SCH-003",
        "wrong-shape",
        "A list, a mapping of keys or a single value stands where another of the three belongs.",
        "Brackets make a list, braces or indented keys make a mapping, anything else is one value.",
        "tubes: [12AX7, EL84]\n",
        "tubes: {V1: 12AX7, V2: EL84}\n",
    ),
    CodePage(
        "SCH-004",
        "wrong-kind",
        "A number, a whole number, or true or false is wanted, and something else stands there.",
        "Of the many words YAML readers take for true, this language knows `true` and `false` alone.",
        "speaker:\n  shorting: yes\n",
        "speaker:\n  shorting: true\n",
    ),
    CodePage(
        "SCH-005",
        "unknown-word",
        "A key takes one of a few words, and this is none of them.",
        "Each of the words stands for something the compiler knows how to build.",
        "region: germany\n",
        "region: eu\n",
    ),
    CodePage(
        "SCH-006",
        "wrong-form",
        "A name does not have the form that names of its kind have.",
        "Tubes are V1, V2 ..., sections V1a, V1b, B+ nodes B1, B2 ..., stage ids small letters with hyphens, controls "
        "capitals, days year-month-day.",
        "signal:\n  - id: first\n    supply: B-2\n",
        "signal:\n  - id: first\n    supply: B2\n",
    ),
    CodePage(
        "SCH-007",
        "wrong-count",
        "A list has too few or too many entries.",
        "A winding has one resistance or two, an oscillator three or four sections; an empty list builds nothing.",
        "output:\n  transformer:\n    taps: []\n",
        "output:\n  transformer:\n    taps: [8 ohm]\n",
    ),
    CodePage(
        "SCH-008",
        "out-of-range",
        "A number is outside the range its key allows.",
        "Knobs turn from 0 to 10, a mains switch has one or two poles.",
        "controls: {VOLUME: 11}\n",
        "controls: {VOLUME: 10}\n",
    ),
    CodePage(
        "SCH-009",
        "unknown-stage",
        "There is no stage of this kind.",
        "The kind decides which keys follow and what is built. The keys of such a stage are not looked at until its kind is known.",
        "signal:\n  - stage: comon-cathode\n    id: third\n",
        "signal:\n  - stage: volume\n    id: third\n    control: MASTER\n    pot: 1M audio\n",
    ),
    CodePage(
        "SCH-010",
        "unknown-version",
        "The spec is written in a version of the language that this compiler does not read.",
        "Within a version keys are only added. Another number may mean other keys, so nothing is guessed.",
        "humdinger: 2\n",
        "humdinger: 1\n",
    ),
    CodePage(
        "SCH-011",
        "empty-value",
        "A key has nothing after its colon.",
        "Leave the key out where the usual value will do, or write the value.",
        "model:\n  revision:\n",
        "model:\n  revision: A\n",
    ),
    CodePage(
        "SCH-012",
        "wrong-file",
        "A file is not of the kind it is used as.",
        "A shop file, a parts file and a spec are told apart by their first key. A spec includes the others; it cannot be replaced by one.",
        "humdinger-shop: 1\n",
        "humdinger: 1\n",
    ),
)

_VALUES = (
    CodePage(
        "UNI-001",
        "unreadable-resistor",
        "A resistor's text does not say what part it is.",
        "The value comes first, then watts, tolerance, volts and type in any order: `100k 1W 5%`. Letter codes of IEC 60062 "
        "are read: `4k7`. "
        "A bare number is ohms.",
        "output:\n  grid_leak: 330 kilo\n",
        "output:\n  grid_leak: 330k\n",
    ),
    CodePage(
        "UNI-002",
        "unreadable-capacitor",
        "A capacitor's text does not say what part it is.",
        "The value needs its letter (p, n or u): a bare 22 could be any of the three. The rated volts follow.",
        "signal:\n  - id: first\n    coupling: 22 630V\n",
        "signal:\n  - id: first\n    coupling: 22n 630V\n",
    ),
    CodePage(
        "UNI-003",
        "unreadable-pot",
        "A pot's text does not say what part it is.",
        "Value of the track, then linear, audio or reverse-audio. Taper letters mean different tapers to different makers and are refused.",
        "signal:\n  - id: level\n    pot: A1M\n",
        "signal:\n  - id: level\n    pot: 1M audio\n",
    ),
    CodePage(
        "UNI-004",
        "unreadable-fuse",
        "A fuse's text does not say which fuse it is.",
        "Its speed (T for time-lag, F for fast) and its amps are needed, as printed on its cap; the breaking capacity and "
        "volts should follow.",
        "supply:\n  mains:\n    fuse: 500mA slow\n",
        "supply:\n  mains:\n    fuse: T 500mA H 250V\n",
    ),
    CodePage(
        "UNI-005",
        "unreadable-contact-rating",
        "The rating of a switch, inlet or holder has to give both volts and amps.",
        "A contact that carries 4 A at 12 V may burn at 230 V.",
        "supply:\n  mains:\n    inlet: {rating: 10 A}\n",
        "supply:\n  mains:\n    inlet: {rating: 250 V 10 A}\n",
    ),
    CodePage(
        "UNI-006",
        "unreadable-winding-volts",
        "A winding's volts are written as 220-0-220 V when it has a centre tap, as 210 V when it has none.",
        "440 V with a centre tap can be meant from end to end or from the tap; the halves leave no doubt.",
        "supply:\n  transformer:\n    high_tension: {volts: 210 V CT}\n",
        "supply:\n  transformer:\n    high_tension: {volts: 210 V}\n",
    ),
    CodePage(
        "UNI-007",
        "unreadable-quantity",
        "A number with a unit cannot be read, has no unit, or is far outside what an amp can hold.",
        "Volts, amps, watts and lengths carry their unit, so that a millimetre is never an inch. Only ohms and hertz may stand "
        "bare where the key says what they are.",
        "safety:\n  clearances: {mains_to_chassis: 6}\n",
        "safety:\n  clearances: {mains_to_chassis: 6 mm}\n",
    ),
    CodePage(
        "UNI-008",
        "no-such-date",
        "The calendar has no such day.",
        "The date is printed in the manual; a waiver expires by it.",
        "model: {date: 2026-02-30}\n",
        "model: {date: 2026-02-28}\n",
    ),
)

_NAMES = (
    CodePage(
        "NAM-001",
        "unknown-tube-type",
        "The parts library has no such tube type.",
        "Pins, heater, limits and curves are looked up by the type. `humdinger parts` lists the types; a parts file next to "
        "the spec adds others.",
        "tubes: {V1: 12AX77}\n",
        "tubes: {V1: 12AX7}\n",
    ),
    CodePage(
        "NAM-002",
        "unknown-tube",
        "A tube is named that `tubes` does not list.",
        "Every tube stands there once with its type.",
        "output: {tubes: [V9]}\n",
        "output: {tubes: [V2]}\n",
    ),
    CodePage(
        "NAM-003",
        "unknown-section",
        "The tube has no such section, or has several and none is named.",
        "Section a of a twin tube is the one on its lowest pin numbers, b the other; t and p are the triode and pentode of a "
        "triode-pentode. "
        "A tube with one section has no letter.",
        "signal:\n  - id: first\n    tube: V1\n",
        "signal:\n  - id: first\n    tube: V1a\n",
    ),
    CodePage(
        "NAM-004",
        "wrong-kind-of-tube",
        "The tube cannot do this job.",
        "Gain stages here take triode sections, the output stage power tubes, the rectifier a rectifier tube.",
        "tubes: {V2: 12AX7}\n",
        "tubes: {V2: EL84}\n",
    ),
    CodePage(
        "NAM-005",
        "section-used-twice",
        "Two places use the same section of a tube.",
        "A section has one grid and one plate.",
        "signal:\n  - id: driver\n    tube: V1a\n",
        "signal:\n  - id: driver\n    tube: V1b\n",
    ),
    CodePage(
        "NAM-006",
        "unknown-node",
        "A B+ node is named that supply/filter does not make.",
        "Each row of supply/filter makes one node: B1 at the reservoir, then B2, B3 away from the rectifier.",
        "signal:\n  - id: first\n    supply: B7\n",
        "signal:\n  - id: first\n    supply: B3\n",
    ),
    CodePage(
        "NAM-007",
        "unknown-stage-id",
        "A stage is named by an id that no stage before it has.",
        "`from` names the stage that feeds this one, feedback/to the stage it enters.",
        "signal:\n  - id: driver\n    from: levle\n",
        "signal:\n  - id: driver\n    from: level\n",
    ),
    CodePage(
        "NAM-008",
        "id-used-twice",
        "Two stages have the same id.",
        "Nets, findings and pages name a stage by its id.",
        "signal:\n  - {stage: volume, id: extra, control: ONE, pot: 1M audio}\n"
        "  - {stage: volume, id: extra, control: TWO, pot: 1M audio}\n",
        "signal:\n  - {stage: volume, id: extra, control: ONE, pot: 1M audio}\n"
        "  - {stage: volume, id: another, control: TWO, pot: 1M audio}\n",
    ),
    CodePage(
        "NAM-009",
        "unknown-tap",
        "The speaker or the feedback hangs on a tap the output transformer does not have.",
        "Taps are named by the speaker impedance they are for, under output/transformer/taps.",
        "speaker: {tap: 16 ohm}\n",
        "speaker: {tap: 8 ohm}\n",
    ),
    CodePage(
        "NAM-010",
        "mains-frequency",
        "The mains frequency is not settled, or not one the region has.",
        "Japan has 50 and 60 Hz, so its spec says which. Everywhere else the region settles it.",
        "frequency: 60 Hz\n",
        "frequency: 50 Hz\n",
    ),
    CodePage(
        "NAM-011",
        "unknown-diode",
        "The parts library has no such diode.",
        "Its reverse voltage and surge current are looked up by its type.",
        "supply:\n  rectifier: {diodes: {part: 1N4070}}\n",
        "supply:\n  rectifier: {diodes: {part: 1N4007}}\n",
    ),
    CodePage(
        "NAM-012",
        "node-named-twice",
        "Two rows of supply/filter make a node of the same name.",
        "A stage that names it could mean either.",
        "supply:\n  filter:\n    - {node: B9, through: 10k 1W, capacitor: 22u 450V}\n"
        "    - {node: B9, through: 10k 1W, capacitor: 22u 450V}\n",
        "supply:\n  filter:\n    - {node: B4, through: 10k 1W, capacitor: 22u 450V}\n"
        "    - {node: B5, through: 10k 1W, capacitor: 22u 450V}\n",
    ),
    CodePage(
        "NAM-013",
        "unknown-winding",
        "A winding is named that the power transformer does not have.",
        "Heater windings are called H1, H2 in the order they are listed; fixed bias needs a bias winding.",
        "supply:\n  heater_reference: {winding: H2}\n",
        "supply:\n  heater_reference: {winding: H1}\n",
    ),
    CodePage(
        "NAM-014",
        "control-named-twice",
        "Two controls would have the same name on the panel.",
        "The key `control` gives a control its name; without it a volume control is called VOLUME.",
        "signal:\n  - {stage: volume, id: extra, pot: 1M audio}\n",
        "signal:\n  - {stage: volume, id: extra, pot: 1M audio, control: MASTER}\n",
    ),
    CodePage(
        "NAM-015",
        "unknown-control",
        "`controls` gives the position of a control the amp does not have.",
        "Controls are named as on the panel.",
        "controls: {VOLUMES: 5}\n",
        "controls: {VOLUME: 5}\n",
    ),
    CodePage(
        "NAM-016",
        "unknown-part",
        "`refs` pins a designator to a place where the spec has no part.",
        "The place is the way to the value in the spec: signal/1/plate_load is the plate load of the second stage.",
        "refs: {signal/1/plate_lode: R20}\n",
        "refs: {signal/1/plate_load: R20}\n",
    ),
    CodePage(
        "NAM-017",
        "unused-in-use",
        "A section is listed under `unused`, but a stage uses it.",
        "`unused` says how a section that does nothing is parked.",
        "unused: {V1a: ground}\n",
        "unused: {}\n",
    ),
    CodePage(
        "NAM-018",
        "idle-tube",
        "A tube is listed that no part of the amp uses.",
        "It would take a socket and heater current for nothing; more likely a stage names the wrong tube.",
        "tubes: {V3: 12AX7}\n",
        "tubes: {V1: 12AX7}\n",
    ),
    CodePage(
        "NAM-019",
        "market",
        "The market does not go with the region, or is missing for an amp that is sold.",
        "`region` is the mains the amp is built for, `market` the place whose law it is sold under; volts and paper must agree.",
        "model: {market: us}\n",
        "model: {market: eu}\n",
    ),
    CodePage(
        "NAM-020",
        "reserved-id",
        "A stage has the name the compiler gives to another section of the amp.",
        "Their nets would carry the same names.",
        "signal:\n  - {stage: volume, id: output, pot: 1M audio, control: MASTER}\n",
        "signal:\n  - {stage: volume, id: master, pot: 1M audio, control: MASTER}\n",
    ),
    CodePage(
        "NAM-021",
        "feedback-without-cathode",
        "Feedback is led to a stage that has no cathode.",
        "It enters where a stage's cathode resistor ends; controls and the input jack have none.",
        "feedback: {from: 8 ohm, to: level, resistor: 10k 1W, shunt: 100}\n",
        "feedback: {from: 8 ohm, to: driver, resistor: 10k 1W, shunt: 100}\n",
    ),
    CodePage(
        "NAM-022",
        "designator-twice",
        "`refs` gives one designator to two parts.",
        "A designator is one part in drawing, kit and manual.",
        "refs: {signal/1/plate_load: R20, signal/1/cathode_resistor: R20}\n",
        "refs: {signal/1/plate_load: R20, signal/1/cathode_resistor: R21}\n",
    ),
    CodePage(
        "NAM-023",
        "tremolo-without-cathode",
        "The tremolo is to move the cathode of a stage that is no gain stage.",
        "It works on the bias of a tube that amplifies: a common-cathode or a pentode-gain stage.",
        _TREMOLO + "  injection: {point: preamp-cathode, stage: level, through: 22k}\n",
        _TREMOLO + "  injection: {point: preamp-cathode, stage: first, through: 22k}\n",
    ),
    CodePage(
        "NAM-024",
        "no-cell-to-light",
        "The tremolo is to light a stage that has no optical cell.",
        "Light moves a photoresistor and nothing else: the stage it names is of kind optical-cell.",
        _TREMOLO + "  injection: {point: optical, stage: level, follower: {tube: V3b, supply: B3, cathode_resistor: 47k 1W}}\n",
        _TREMOLO + "  injection: {point: optical, stage: pulse, follower: {tube: V3b, supply: B3, cathode_resistor: 47k 1W}}\n" + _CELL,
    ),
    CodePage(
        "NAM-025",
        "cell-without-light",
        "An optical cell stands in the signal and nothing lights it.",
        "In the dark it is a resistor of a megohm. A tremolo of point `optical` names the stage it lights.",
        _CELL,
        _TREMOLO + "  injection: {point: optical, stage: pulse, follower: {tube: V3b, supply: B3, cathode_resistor: 47k 1W}}\n" + _CELL,
    ),
)

PAGES = {page.code: page for page in (*_SHAPE, *_VALUES, *_NAMES)}
"""Code -> page, in the order of the numbers."""
