"""The manual in a browser: clean, accessible in light and dark, no sideways scrolling on a phone, nothing clipped on paper."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.base import AXE_FILE_PATH

from support.browser import MM, PRINTABLE_MM, folder, opened, page_files
from support.manuals import BROWSED, manual

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
"""Every rule of axe-core but its experimental ones."""


def _violations(page: Any, options: dict[str, object]) -> list[str]:
    """What axe-core finds on the open page, a line each."""
    page.evaluate(Path(AXE_FILE_PATH).read_text(encoding="utf-8"))
    found = page.evaluate("options => axe.run(document, options)", options)["violations"]
    return [f"{v['id']}: {v['nodes'][0]['html'][:160]} ({len(v['nodes'])} places)" for v in found]


@pytest.mark.parametrize("name", BROWSED)
def test_pages_open_without_a_complaint_of_the_browser(name: str) -> None:
    said: list[str] = []
    with opened() as page:
        page.on("console", lambda m: said.append(f"{page.url}: {m.text}") if m.type in ("error", "warning") else None)
        page.on("pageerror", lambda e: said.append(f"{page.url}: {e}"))
        page.on("requestfailed", lambda r: said.append(f"{page.url}: {r.url} failed"))
        asked: list[str] = []
        page.on("request", lambda r: asked.append(r.url))
        for file in page_files(name):
            page.goto(file.as_uri())
    assert not said
    assert all(url.startswith((folder(name).as_uri(), "data:")) for url in asked)


def but(*deep: str) -> list[object]:
    """BROWSED, some of them with --deep only: axe takes half a minute for a manual."""
    return [pytest.param(name, marks=pytest.mark.deep) if name in deep else name for name in BROWSED]


@pytest.mark.parametrize("name", but("heron"))
def test_axe_finds_no_violation_in_light(name: str) -> None:
    found = {}
    with opened() as page:
        for file in page_files(name):
            page.goto(file.as_uri())
            found[file.name] = _violations(page, {"runOnly": TAGS, "resultTypes": ["violations"]})
    assert {k: v for k, v in found.items() if v} == {}


@pytest.mark.parametrize("name", but("dunlin"))
def test_axe_finds_no_violation_in_dark(name: str) -> None:
    """Only colours differ from light: the rules that look at them."""
    found = {}
    with opened(scheme="dark") as page:
        for file in page_files(name):
            page.goto(file.as_uri())
            rules = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}
            found[file.name] = _violations(page, {"runOnly": rules, "resultTypes": ["violations"]})
    assert {k: v for k, v in found.items() if v} == {}


@pytest.mark.parametrize("name", BROWSED)
def test_a_phone_does_not_scroll_sideways(name: str) -> None:
    wide = {}
    with opened(360, 740) as page:
        for file in page_files(name):
            page.goto(file.as_uri())
            wide[file.name] = page.evaluate("document.documentElement.scrollWidth")
    assert {k: v for k, v in wide.items() if v > 360} == {}


OVERFLOWING = """width => [...document.querySelectorAll("table, figure, svg, p, dl, aside")]
  .filter(e => !e.closest("svg svg") && e.getBoundingClientRect().width > 0 && e.getBoundingClientRect().right > width + 0.5)
  .map(e => e.tagName + " " + (e.id || e.caption?.textContent || e.textContent.trim().slice(0, 40)) + ": "
    + Math.round(e.getBoundingClientRect().right) + " of " + Math.round(width) + " px")"""


@pytest.mark.parametrize("name", BROWSED)
def test_nothing_is_wider_than_the_paper(name: str) -> None:
    """A page box that anything overflows is shrunk by the browser: text turns small and labels lose their size."""
    paper = manual(name)[0].netlist
    assert paper is not None
    upright = PRINTABLE_MM[paper.region.paper]
    sideways = {"A4": 297 - 24, "Letter": 279.4 - 24}[paper.region.paper]
    found = {}
    for wide, width_mm in ((False, upright), (True, sideways)):
        with opened(int(width_mm * MM), 900) as page:
            page.emulate_media(media="print")
            for file in page_files(name):
                page.goto(file.as_uri())
                if page.evaluate("document.body.classList.contains('sheets')") == wide:
                    found[file.name] = page.evaluate(OVERFLOWING, int(width_mm * MM))
    assert {k: v for k, v in found.items() if v} == {}
