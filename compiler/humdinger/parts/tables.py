"""Bases, diodes and regions of the library: data -> the types of parts/model.py."""

from __future__ import annotations

from typing import Any

from .block import Block, Fault, Path
from .model import Base, Cited, DiodeType, Region

NOTHING = Cited(0.0, "")
"""Stands for a required number whose fault was noted."""


def read_base(name: str, data: Any, faults: list[Fault], path: Path = ()) -> Base:
    """A tube base."""
    block = Block(data, path, faults)
    base = Base(
        name=name,
        pins=int(block.number("pins") or 0),
        pin_circle_mm=block.cited("pin_circle_mm", True) or NOTHING,
        pin_spacing_degrees=block.number("pin_spacing_degrees") or 0.0,
        hole_mm=block.cited("hole_mm", True) or NOTHING,
        fixing_centres_mm=block.cited("fixing_centres_mm", True) or NOTHING,
        pin_diameter_mm=block.cited("pin_diameter_mm"),
        hole_largest_mm=block.cited("hole_largest_mm"),
        note=block.text("note"),
    )
    block.done()
    return base


def read_diode(name: str, data: Any, faults: list[Fault], path: Path = (), user: bool = False) -> DiodeType:
    """A silicon diode."""
    block = Block(data, path, faults)
    keys = ("saturation_amps", "emission", "repetitive_reverse_volts", "average_amps", "surge_amps")
    values = {key: block.cited(key, True) or NOTHING for key in keys}
    block.done()
    return DiodeType(name=name, user=user, **values)


def read_region(code: str, data: Any, faults: list[Fault], path: Path = ()) -> Region:
    """A mains region."""
    block = Block(data, path, faults)
    volts = {k: block.cited(k, True) or NOTHING for k in ("nominal_volts", "low_volts", "high_volts", "insulation_high_volts")}
    texts = ("name", "line_colour", "neutral_colour", "colour_source", "plug", "paper", "emergency_number", "wiring_rules", "deferral")
    given = ("plug_fuse_amps", "plug_fuse_watts", "plug_fuse_high_amps", "test_bond_ohms", "test_insulation_ohms")
    values: dict[str, Any] = {**{k: block.text(k) for k in (*texts, "work_rules")}, **volts, **{k: block.cited(k) for k in given}}
    region = Region(code=code, hertz=block.cited("hertz"), earth_colours=block.texts("earth_colours"), notes=block.texts("notes"), **values)
    block.done()
    return region
