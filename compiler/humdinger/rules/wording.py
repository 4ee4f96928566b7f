"""Numbers in messages that must not look alike when they differ."""

from __future__ import annotations


def apart(value: float, limit: float, digits: int = 0) -> tuple[str, str]:
    """Both numbers with as few decimals as tell them apart, `digits` at least, three more at most."""
    pair = f"{value:.{digits}f}", f"{limit:.{digits}f}"
    for places in range(digits, digits + 4):
        pair = f"{value:.{places}f}", f"{limit:.{places}f}"
        if pair[0] != pair[1] or value == limit:
            return pair
    return pair
