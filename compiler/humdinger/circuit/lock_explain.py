"""Pages of the codes of the lock file (LCK). The examples are lock files; a test reads each beside a demo."""

from __future__ import annotations

from ..diagnostics.pages import CodePage

_PAGES = (
    CodePage(
        "LCK-001",
        "broken-lock-file",
        "The lock file beside the spec cannot be read, or says what cannot be: a number twice, a capacitor's number on a resistor.",
        "It holds the designators that stand on drawings, boards and labels already. Guessing them would renumber parts without a word, so "
        "nothing is compiled until it reads again. Mostly a merge of two versions is the cause: keep the lines of both, and where two "
        "parts claim one number take one line out; that part gets a new number.",
        "humdinger-lock: 1\nparts:\n  signal/guitar/grid_leak: R1\n  signal/guitar/grid_stopper: R1\n",
        "humdinger-lock: 1\nparts:\n  signal/guitar/grid_leak: R1\n  signal/guitar/grid_stopper: R2\n",
    ),
    CodePage(
        "LCK-002",
        "lock-of-another-spec",
        "The lock file was written for another spec of the same name in the same folder, such as amp.yaml beside amp.amp.yaml.",
        "Two amps in one lock file would take each other's numbers.",
    ),
    CodePage(
        "LCK-003",
        "designators-change",
        "`compile --locked` found that the lock file would change: a part has no number yet, has another one, or is gone.",
        "With --locked a build for a released revision cannot number anything anew by accident. Without it the file is brought up to date.",
    ),
    CodePage(
        "LCK-004",
        "lock-not-written",
        "The lock file could not be written, for instance because the spec lies in a folder that is read-only.",
        "The manual is right, but nothing remembers its designators: after a change of the spec parts may be numbered anew.",
    ),
)

PAGES = {page.code: page for page in _PAGES}
