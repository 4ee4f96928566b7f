"""The value types of the language by name, as the schema's `x-type` calls them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

from .components import parse_capacitor, parse_pot, parse_resistor, parse_section, parse_winding_volts
from .dimension import DIMENSIONS
from .fault import UnitFault
from .quantity import parse_quantity
from .ratings import parse_contact, parse_fuse
from .values import (
    Capacitance,
    ContactRating,
    FuseRating,
    Potentiometer,
    Quantity,
    Resistance,
    SectionName,
    WindingVolts,
)

Value = Quantity | Resistance | Capacitance | Potentiometer | FuseRating | ContactRating | WindingVolts | SectionName

READERS: Mapping[str, Callable[[str], Value | UnitFault]] = {
    "resistor": parse_resistor,
    "capacitor": parse_capacitor,
    "pot": parse_pot,
    "fuse": parse_fuse,
    "contact": parse_contact,
    "winding-volts": parse_winding_volts,
    "section": parse_section,
    "ohms": partial(parse_quantity, dimension="resistance"),
} | {name: partial(parse_quantity, dimension=name) for name in DIMENSIONS}
"""Type word -> parser of one text. The words tube, node, id and text are names and need no parser."""
