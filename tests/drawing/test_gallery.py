"""The gallery has a picture of every stage kind, and they are as the compiler draws them today."""

from __future__ import annotations

import pytest
import yaml

from pictures import gallery
from support.front import ROOT

PAGE = (gallery.GALLERY / "README.md").read_text(encoding="utf-8")


def test_nothing_is_stale() -> None:
    assert gallery.stale() == [], "run .venv/bin/python tests/pictures/gallery.py"


@pytest.mark.parametrize("kind", gallery.KINDS)
def test_every_kind_has_its_picture_its_words_and_a_snippet(kind: str) -> None:
    assert PAGE.count(f"]({kind}.svg)") == 1
    told = PAGE.split(f"### {kind}\n")[1].split("\n### ")[0]
    assert gallery.words(kind) in told
    snippet = yaml.safe_load(told.split("```yaml\n")[1].split("```")[0])
    assert len(snippet) == 1
    if kind in gallery.SIGNAL_KINDS:
        assert snippet["signal"][0]["stage"] == kind


def test_every_picture_shows_the_parts_of_its_stage() -> None:
    """All but what another cell of the amp draws, as the test resistors of a fixed bias under the output cathodes."""
    for kind in gallery.KINDS:
        name, stage, _ = gallery.amps()[kind]
        svg = (gallery.GALLERY / f"{kind}.svg").read_text(encoding="utf-8")
        shown = {part.rpartition(":")[0] or part for part in svg.split("Parts: ")[1].split(".</desc>")[0].split(", ")}
        missing = {ref for ref in stage.parts.values() if not any(part.rstrip("abtp") == ref for part in shown)}
        others = [other for other in gallery.netlist_of(name).stages if other.id != stage.id]
        elsewhere = {ref for other in others for block in gallery.blocks_at(name, other, {}) for ref in block.drawn}
        assert missing <= elsewhere, (kind, missing - elsewhere)
        assert not missing or len(missing) < len(stage.parts), kind


def test_the_readme_leads_to_it() -> None:
    assert "](specs_demo/gallery/README.md)" in (ROOT / "README.md").read_text(encoding="utf-8")
