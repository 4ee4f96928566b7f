"""Pages of the codes that solving reports."""

from __future__ import annotations

from ..diagnostics.pages import CodePage

PAGES = {
    page.code: page
    for page in (
        CodePage(
            "SOL-001",
            "no-operating-point",
            "Newton's method found no direct-current solution in one of the states; the nets it could not settle are named.",
            "No number is printed that did not converge. Look at the parts on those nets first: a resistor of the wrong decade, a grid "
            "without a return, a supply that cannot carry its load. If the circuit is sound, it is our fault: send us the spec.",
        ),
    )
}
