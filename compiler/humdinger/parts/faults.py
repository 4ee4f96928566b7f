"""The codes of this room: faults in a builder's own parts file."""

from __future__ import annotations

from collections.abc import Mapping

from ..diagnostics import CodePage

_PAGES = (
    CodePage(
        "SCH-061",
        "part-wrong-shape",
        "A value in a parts file is of the wrong shape: a text for a number, a list for a mapping.",
        "Numbers stand bare or as a pair [number, source]; the unit stands in the key, so that no number can be read in two ways.",
        "plate_watts: 12 W\n",
        "plate_watts: 12\n",
    ),
    CodePage(
        "SCH-062",
        "part-value-twice",
        "A value is given twice in different units.",
        "Which of the two is meant, only the writer knows.",
        "cathode_milliamps: 65\ncathode_amps: 0.06\n",
        "cathode_milliamps: 65\n",
    ),
    CodePage(
        "SCH-063",
        "part-value-missing",
        "A part lacks something that nothing can stand in for: pins, base, heater, a parameter of its model.",
        "Wiring rows and computed volts would be guesses.",
        "heaters: [{volts: 6.3, side_a_pins: 4, side_b_pins: 5}]\n",
        "heaters: [{volts: 6.3, amps: 0.76, side_a_pins: 4, side_b_pins: 5}]\n",
    ),
    CodePage(
        "SCH-064",
        "part-value-out-of-range",
        "A value is none of the known words, or a number that cannot be: a negative rating, a pin the base does not have.",
        "It is most likely a slip, and a manual would repeat it.",
        "kind: pentode power\n",
        "kind: power pentode\n",
    ),
    CodePage(
        "SCH-065",
        "part-without-source",
        "A number has no source.",
        "Every number of the library says where it was read, and the manual prints it; a builder must be able to check it.",
        "tubes-library:\n  EL84S: {like: EL84, envelope: {seated_mm: 60}}\n",
        "tubes-library:\n  EL84S: {like: EL84, source: measured in the shop, envelope: {seated_mm: 60}}\n",
    ),
    CodePage(
        "SCH-066",
        "part-unknown-key",
        "A parts file has a key nothing reads.",
        "It is most likely misspelled, and its value would silently be lost.",
        "plate_wats: 12\n",
        "plate_watts: 12\n",
    ),
    CodePage(
        "SCH-067",
        "pin-with-two-uses",
        "A pin of a tube serves two purposes.",
        "One of the two is wrong, and the wiring rows would join what must be apart.",
        "pins: {plate: 7, screen: 7, grid: 2, cathode: 3}\n",
        "pins: {plate: 7, screen: 9, grid: 2, cathode: 3}\n",
    ),
    CodePage(
        "NAM-041",
        "unknown-model",
        "A tube of a parts file names a model the library does not have.",
        "Without a model nothing can be computed for the tube.",
        "model: EL48\n",
        "model: EL84\n",
    ),
    CodePage(
        "NAM-042",
        "unknown-like",
        "A part is said to be like one the library does not have.",
        "There is nothing to take the missing values from.",
        "EL84S: {like: EL48}\n",
        "EL84S: {like: EL84}\n",
    ),
    CodePage(
        "NAM-043",
        "own-part-used",
        "A part of the builder's own has the name of a built-in one, or of one given before, and is used instead.",
        "Meant or not, the reader of a manual should know whose numbers it shows.",
    ),
)

PARTS_CODES: Mapping[str, CodePage] = {page.code: page for page in _PAGES}
