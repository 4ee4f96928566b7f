"""Writes parts/data/index.json anew from the YAML files: `.venv/bin/python tests/parts/reindex.py [--check]`."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "compiler"))


def main(arguments: list[str]) -> int:
    """With --check nothing is written, and the exit code says whether the file is current."""
    from humdinger.parts.folder import DATA
    from humdinger.parts.index import build_index

    path = DATA / "index.json"
    text = build_index()
    if "--check" in arguments:
        return int(not path.is_file() or path.read_text(encoding="utf-8") != text)
    path.write_text(text, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
