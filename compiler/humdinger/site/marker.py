"""The marker of a manual's folder: that it is ours, and which files in it are.

Without the list nobody could tell a note that a builder put beside the pages from a page of an earlier compile.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping

MARKER = ".humdinger"
HEAD = (
    "This folder was written by humdinger. The next compile replaces the files listed here; what else is put here is kept,\n"
    "and a listed file that was changed by hand is kept under another name.\n"
)
EARLIER = "This folder is written by humdinger"
"""How a marker without a list begins; whatever is in such a folder is ours."""

_ROW = re.compile(r"([0-9a-f]{64})  (.+)")


def marker_text(files: Mapping[str, bytes]) -> str:
    """The marker of a folder with these files."""
    return HEAD + "".join(f"{hashlib.sha256(data).hexdigest()}  {path}\n" for path, data in sorted(files.items()))


def listed(text: str) -> Mapping[str, str] | None:
    """Path -> sha256 of the files that are ours. None for a marker without a list. ValueError for a text that is no marker."""
    if text.startswith(EARLIER):
        return None
    if not text.startswith(HEAD):
        raise ValueError
    found: dict[str, str] = {}
    for line in text[len(HEAD) :].splitlines():
        row = _ROW.fullmatch(line)
        if row is None:
            raise ValueError
        found[row[2]] = row[1]
    return found
