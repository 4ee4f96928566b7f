"""Makes the pictures of the README from the manual of Curlew: a schematic as SVG, two pages as PNG.

    .venv/bin/python tests/pictures/make.py            makes them again
    .venv/bin/python tests/pictures/make.py --check    says which are not of today's manual, and exits with 1

A browser's pixels differ from one build of it to the next, so a picture of a page is held to the page: `sources.json` beside the
pictures has the checksum of the page and of the style sheet it was taken from. The schematic is compared byte by byte.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import sys
from collections.abc import Mapping
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "compiler"), str(ROOT / "tests")]

from support.browser import folder, opened  # noqa: E402
from support.manuals import manual  # noqa: E402

DEMO = "curlew"
PICTURES = ROOT / "specs_demo" / "pictures"
SCHEMATIC = "drawings/preamp.svg"
PAGES = {"chart.png": ("chart", "#volts"), "board.png": ("boards", "#figure-board-A")}
"""Picture -> page, and what of the page it shows."""
LARGEST = 900
"""Pixels of height; a table longer than that is cut off."""


def sources(files: Mapping[str, bytes]) -> dict[str, str]:
    """Picture -> checksum of what it shows."""
    style = files["style.css"]
    return {name: hashlib.sha256(files[f"{page}.html"] + style).hexdigest() for name, (page, _) in sorted(PAGES.items())}


def stale() -> list[str]:
    """Pictures that are not of today's manual."""
    files = manual(DEMO)[1]
    schematic, written = PICTURES / "schematic.svg", PICTURES / "sources.json"
    found = [] if schematic.is_file() and schematic.read_bytes() == files[SCHEMATIC] else [schematic.name]
    known = json.loads(written.read_text(encoding="utf-8")) if written.is_file() else {}
    return found + [name for name, now in sources(files).items() if known.get(name) != now or not (PICTURES / name).is_file()]


def make() -> None:
    """Writes every picture and what it was taken from."""
    files = manual(DEMO)[1]
    PICTURES.mkdir(exist_ok=True)
    (PICTURES / "schematic.svg").write_bytes(files[SCHEMATIC])
    for name, (page, part) in PAGES.items():
        with opened(980, 1200) as window:
            window.goto((folder(DEMO) / f"{page}.html").as_uri())
            box = window.locator(part).bounding_box()
            assert box is not None, f"{page} has no {part}"
            clip = box | {"height": min(box["height"], LARGEST)}
            window.screenshot(path=PICTURES / name, clip=clip, full_page=True)  # pyright: ignore[reportArgumentType]
    (PICTURES / "sources.json").write_text(json.dumps(sources(files), indent=1) + "\n", encoding="utf-8")


def main() -> int:
    """0: made, or nothing stale."""
    parser = argparse.ArgumentParser(description="pictures of the README")
    parser.add_argument("--check", action="store_true", help="only say what is stale")
    if not parser.parse_args().check:
        make()
        return 0
    for name in stale():
        print(f"{name} is not of today's manual: run {Path(__file__).relative_to(ROOT)}")
    return 1 if stale() else 0


if __name__ == "__main__":
    raise SystemExit(main())
