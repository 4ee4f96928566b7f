"""What is wrong with a text that should have been a value: the reason and the cure, one line each."""

from __future__ import annotations

from ..records import record

LONGEST_TEXT = 80


@record
class UnitFault:
    """`reason` says the fault (lower case, stands alone); `cure` says what to write instead."""

    reason: str
    cure: str


def quote(text: str) -> str:
    """The written text in quotes, cut when long, for a message."""
    return f"'{text}'" if len(text) <= LONGEST_TEXT else f"'{text[: LONGEST_TEXT - 1]}…'"
