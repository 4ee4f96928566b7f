"""How many volts a resistor's element stands, where the part itself does not say: by its size. Shared by the rules on resistors."""

from __future__ import annotations

from ..circuit.netlist import Resistor

ELEMENT_VOLTS = ((0.25, 200.0), (0.5, 300.0), (1.0, 350.0), (2.0, 500.0), (3.0, 750.0))
"""Watts, volts of the smallest size; common practice, a published list is higher."""

SMALLEST_WATTS = 0.25
"""The smallest resistor a builder solders between tags: what a resistor without a rating is at least (common practice)."""


def element_volts(part: Resistor) -> tuple[float, str] | None:
    """Volts and where the figure comes from; None for a rating below the table."""
    if part.volts_max is not None:
        return part.volts_max, "as the part says"
    watts = SMALLEST_WATTS if part.watts is None else part.watts
    found = [volts for least, volts in ELEMENT_VOLTS if watts >= least]
    return (found[-1], f"usual for {watts:g} W") if found else None


def what(part: Resistor) -> str:
    """What a message calls it: its label, else its role in words; a plain "resistor" gets its stage's name before it."""
    role = part.role.replace("-", " ")
    return part.label or (f"{part.stage} {role}" if role.startswith("resistor") else role)


def is_bleeder(part: Resistor) -> bool:
    """Whether it stands across a capacitor of the B+ filter. Bleeders have a stricter rule of their own (DIS-003)."""
    return part.role.endswith("-bleeder") or "-balancing-" in part.role
