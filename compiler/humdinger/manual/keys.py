"""Where a printed number stands in data/results.json: a JSON pointer (RFC 6901, from memory), since net names have points in them.

A cell's key is made here and nowhere else; a test resolves every key of every page and compares the number there with the printed one.
"""

from __future__ import annotations


def at(*names: str | int) -> str:
    """The pointer of a path of names: at("conditions", "nominal", "nodes", "B1", "dc_volts")."""
    return "".join(f"/{str(name).replace('~', '~0').replace('/', '~1')}" for name in names)


def node(condition: str, net: str, number: str = "dc_volts") -> str:
    """A number of a net in a condition."""
    return at("conditions", condition, "nodes", net, number)


def section(ref: str, number: str, condition: str = "nominal") -> str:
    """A number of a tube section in a condition."""
    return at("conditions", condition, "sections", ref, number)
