"""House wire colours by what a net carries, and the lead colours transformers come with.

House colours stay clear of green, green-yellow and black everywhere, and of brown and blue in IEC regions, because those mean earth, line
or neutral on the mains side (IEC 60445; North America: black line, white neutral). Lead colours: RETMA/EIA tables as quoted by a public
reference page (tag V-11).
"""

from __future__ import annotations

from collections.abc import Mapping

HOUSE: Mapping[str, str] = {
    "supply": "red",
    "plate": "orange",
    "cathode": "violet",
    "grid": "yellow",
    "signal": "white-yellow",
    "bias": "grey-white",
    "heater": "white-red",
    "speaker": "grey",
    "ground": "pink",
    "high-tension-ac": "red-white",
}
"""What a net carries -> colour. The shop file's `wire_colours` may override each."""

LETTERS: Mapping[str, str] = {
    "black": "BK",
    "brown": "BN",
    "red": "RD",
    "orange": "OG",
    "yellow": "YE",
    "green": "GN",
    "blue": "BU",
    "violet": "VT",
    "grey": "GY",
    "slate": "GY",
    "white": "WH",
    "pink": "PK",
    "turquoise": "TQ",
}
"""Letter codes of colours: IEC 60757, from memory."""

EARTH_ONLY = ("green", "green-yellow")
NOWHERE = ("black",)
"""Line in North America, neutral in older British and Australian wiring: no house wire is of it."""
SIGNAL_MAY = ("white",)
"""A mains colour that a signal wire may have all the same (common practice); brown and blue no wire may have where they mean mains."""

POWER_LEADS: Mapping[str, tuple[str, ...]] = {
    "primary": ("black", "black"),
    "high-tension": ("red", "red-yellow", "red"),
    "rectifier-heater": ("yellow", "yellow-blue", "yellow"),
    "heater": ("green", "green-yellow", "green"),
    "heater-2": ("brown", "brown-yellow", "brown"),
    "heater-3": ("slate", "slate-yellow", "slate"),
}
"""Winding kind -> colours of end, centre tap, end."""

OUTPUT_LEADS: Mapping[str, str] = {"P": "blue", "P1": "blue", "P2": "brown", "B": "red", "CT": "red", "0": "black"}
"""Output transformer terminal -> colour."""
INTERSTAGE_LEADS: Mapping[str, str] = {"P": "blue", "B": "red", "S1": "green", "CT": "black", "S2": "yellow"}
"""Interstage transformer terminal -> colour: plate blue, B+ red, grids green and yellow, return black (the same tables, from memory)."""
SPEAKER_LEAD = "green"
"""The speaker's lead; of several taps each maker colours his own way, and the table says of none which."""


def letters(colour: str) -> str:
    """The letter code of a colour, body then stripe: "WHRD". A word that has no code stands in full."""
    return "".join(LETTERS.get(word, word.upper()) for word in colour.split("-"))


def is_green(colour: str) -> bool:
    """Whether a colour, alone or with a stripe, could be taken for that of an earth conductor."""
    words = colour.replace(",", "-").split("-")
    return words[0] == "green" or ("green" in words and "yellow" in words)


def mains_colours(region_code: str) -> tuple[str, ...]:
    """Colours that mean line or neutral in a region, and so may not be met elsewhere unsleeved."""
    return ("black", "white") if region_code in ("us", "ca", "jp") else ("brown", "blue")
