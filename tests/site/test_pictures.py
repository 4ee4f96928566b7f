"""The README's pictures are of today's manual, and the README shows each of them."""

from __future__ import annotations

from pictures import make
from support.front import ROOT


def test_pictures_are_of_todays_manual() -> None:
    assert make.stale() == [], "run .venv/bin/python tests/pictures/make.py"


def test_the_readme_shows_every_picture() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    for name in ("schematic.svg", *make.PAGES):
        assert f"](specs_demo/pictures/{name})" in text
