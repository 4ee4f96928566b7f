"""Output stages put into a spec, as changes of it."""

from __future__ import annotations

TAPPED = {"output/transformer/screen_tap": "43 %"}

FOUR = {
    "tubes/V6": "EL84",
    "tubes/V7": "EL84",
    "output/tubes": "[V4, V5, V6, V7]",
    "output/transformer/primary": "4k",
    "output/transformer/power": "40 W",
    "output/transformer/resistance": "{primary: 120, secondary: 0.4}",
}
"""A pair of EL84 doubled, into half the load."""

FOUR_FED = FOUR | {
    "output/grid_leak": "220k",
    "supply/transformer/heaters/0/current": "5 A",
    "supply/transformer/high_tension/current": "320 mA",
    "supply/transformer/high_tension/resistance": "[38, 40]",
    "supply/transformer/primary/0/resistance": "16",
    "supply/transformer/power": "180 VA",
    "supply/mains/fuse": "T 1A H 250V",
    "supply/filter/0/capacitor": "{value: 68u, rating: 450 V, ripple: 700 mA}",
    "supply/filter/0/bleeder": "100k 5W flameproof",
    "supply/filter/1/through": "270 10W wirewound",
    "speaker/power": "60 W",
    "speaker/load_resistor": "220 10W",
}
"""Curlew with four output tubes and a supply for them."""
ONE_RESISTOR = {"bias": "{scheme: cathode, resistor: 68 15W wirewound, bypass: 6800u 63V}"}
TWO = {"tubes/V3": "6V6GT", "output/tubes": "[V2, V3]", "output/transformer/primary": "2k5"}
TWO_FED = TWO | {
    "output/grid_leak": "220k",
    "output/transformer/gap_current": "120 mA",
    "output/transformer/power": "15 W",
    "output/transformer/primary_inductance": "8 H",
    "output/transformer/resistance": "{primary: 140, secondary: 0.5}",
    "bias": "{scheme: cathode, resistor: 130 10W wirewound, bypass: 470u 63V}",
    "supply/transformer/heaters/0/current": "1.5 A",
    "supply/transformer/high_tension/current": "250 mA",
    "supply/transformer/high_tension/resistance": "[55]",
    "supply/transformer/primary/0/resistance": "4",
    "supply/transformer/power": "70 VA",
    "supply/mains/fuse": "T 800mA H 250V",
    "supply/filter/1/through": "150 5W wirewound",
}
"""Dunlin with two output tubes and a supply for them."""


def connected(connection: str, node: int = 1, **more: str) -> dict[str, str]:
    """An output stage in triode or ultralinear connection. node: the place in the filter of the node that fed the screens."""
    changes = {"output/connection": connection, f"supply/filter/{node}/feeds": "~"}
    if connection == "ultralinear":
        changes |= TAPPED
    return changes | {f"output/{key}": value for key, value in more.items()}


def stacked(node: int = 0, count: int = 2, capacitor: str = "{value: 100u, rating: 350 V, ripple: 350 mA}", **more: str) -> dict[str, str]:
    """Capacitors in series on a B+ node, in the place of the one with its bleeder. node: its place in the filter."""
    at = f"supply/filter/{node}"
    changes = {f"{at}/capacitor": capacitor, f"{at}/in_series": str(count), f"{at}/balancing": "82k 5W flameproof", f"{at}/bleeder": "~"}
    return changes | {f"{at}/{key}": value for key, value in more.items()}
