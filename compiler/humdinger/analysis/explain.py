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
        CodePage(
            "SOL-002",
            "impossible-transformer",
            "The power transformer would lose more than half of its volts in its own copper, at the current it is rated for or with the "
            "heaters alone.",
            "Where no no-load volts are given they are worked out from rated volts, rated current and resistance, and from nonsense comes "
            "nonsense. A transformer of this trade loses 5 to 20 % (common practice): look for ohms that should not be kilohms, a primary "
            "of another voltage, a current in the wrong unit.",
            "supply: {transformer: {primary: [{volts: 230 V, resistance: 8k}]}}\n",
            "supply: {transformer: {primary: [{volts: 230 V, resistance: 8}]}}\n",
        ),
    )
}
