"""The checksum of a manual: what it was compiled from, in one number."""

from __future__ import annotations

import hashlib

from .load import Source


def checksum(source: Source) -> str:
    """sha256 in hex over the spec and its includes in the order they were read. Folder names do not count, contents
    do, and what the command line puts in the place of something.
    """
    found = hashlib.sha256()
    for path in (source.path, *(item.path for item in source.includes)):
        found.update(source.texts[path].encode())
        found.update(b"\0")
    for override in source.overrides:
        found.update(f"{override.path}={override.text}\0".encode())
    return found.hexdigest()
