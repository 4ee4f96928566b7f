"""Units: quantities read and printed, preferred values, colours, wire and taper laws."""

from .components import (
    CAPACITOR_TYPES,
    POT_TYPES,
    RESISTOR_TYPES,
    TAPERS,
    default_capacitor_type,
    parse_capacitor,
    parse_pot,
    parse_resistor,
    parse_section,
    parse_winding_volts,
)
from .dimension import DIMENSIONS
from .fault import UnitFault
from .quantity import parse_quantity
from .ratings import parse_contact, parse_fuse
from .reader import READERS
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

__all__ = [
    "CAPACITOR_TYPES",
    "DIMENSIONS",
    "POT_TYPES",
    "READERS",
    "RESISTOR_TYPES",
    "TAPERS",
    "Capacitance",
    "ContactRating",
    "FuseRating",
    "Potentiometer",
    "Quantity",
    "Resistance",
    "SectionName",
    "UnitFault",
    "WindingVolts",
    "default_capacitor_type",
    "parse_capacitor",
    "parse_contact",
    "parse_fuse",
    "parse_pot",
    "parse_quantity",
    "parse_resistor",
    "parse_section",
    "parse_winding_volts",
]
