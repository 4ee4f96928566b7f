"""Where a number of the library was read, in the words a page prints."""

from __future__ import annotations

from ..parts.library import Library


def cited(tag: str) -> str:
    """What a source tag stands for; "from memory" for what nothing was opened for; the tag itself where a builder's own parts named it."""
    if tag.startswith("memory"):
        return "from memory"
    return Library().sources().get(tag, tag).split("; ")[0]
