"""Plain numbers out of a block of the spec."""

from __future__ import annotations

from ..spec.model import Block
from ..units.values import Quantity


def amount(block: Block, key: str) -> float | None:
    """The number under a key in SI units; None when the key is absent or is no number."""
    return plain(block.get(key))


def amounts(block: Block, key: str) -> tuple[float, ...]:
    """The numbers of a list; a single number stands for a list of one."""
    found = (plain(item.value) for item in block.items(key))
    return tuple(number for number in found if number is not None)


def words(block: Block, key: str) -> tuple[str, ...]:
    """The words of a list; a single word stands for a list of one."""
    return tuple(item.value for item in block.items(key) if isinstance(item.value, str))


def plain(value: object) -> float | None:
    """A quantity's number, a number itself, None for anything else. True and False are no numbers."""
    if isinstance(value, Quantity):
        return value.value
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return float(value)
