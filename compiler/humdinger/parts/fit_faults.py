"""Pages of the codes of `humdinger fit-tube` (FIT). What is wrong in the file itself has the codes of a parts file."""

from __future__ import annotations

from ..diagnostics import CodePage

_PAGES = (
    CodePage(
        "FIT-001",
        "too-few-readings",
        "The readings do not settle the parameters of the law.",
        "A law that is not held by readings is held by our own expectation of what such a tube is like, and would be taken for a "
        "measurement.",
    ),
    CodePage(
        "FIT-002",
        "fit-is-extrapolated",
        "The readings leave out a part of where an amp uses the tube: high plate volts, cut-off, grid at 0 V, currents near the rating.",
        "The law goes on beyond the last reading, but nobody has compared it with the tube there.",
    ),
    CodePage(
        "FIT-003",
        "poor-fit",
        "The law misses the readings by more than 10 % rms, or fits them only with an amplification factor that no tube has.",
        "Either the readings are of different tubes or conditions, or the tube does not follow the law (remote cut-off, strong islands). "
        "A new tube may be 20 % off its own sheet in plate current (common practice): a fit within 10 % is of use, one beyond is not.",
    ),
    CodePage(
        "FIT-004",
        "reading-stands-apart",
        "One reading is far off the curve that all others agree on.",
        "Most often it is a slip: a wrong grid line, volts and milliamps changed over, a decimal.",
    ),
)

PAGES = {page.code: page for page in _PAGES}
