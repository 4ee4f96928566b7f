"""Sheets worth printing, on A4 and on US Letter: none nearly empty, no table torn off after a row or two, drawings at full size.

Chromium prints each page as its style sheet says, for the demo's own paper and for the other one; poppler draws the sheets small, and
their ink tells how far down they are filled.
"""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from collections import Counter
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from pypdf import PdfReader

from humdinger.drawing.geometry import MAX_HEIGHT, MAX_WIDTH, STYLES, UNIT_MM
from humdinger.manual.model import Caution, Figure
from support.browser import opened, page_files
from support.manuals import composed

PRINTED = (("curlew", "A4"), ("curlew", "Letter"), ("dunlin", "Letter"))

SIZE_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}

MARKS = """(paper) => {
  document.body.className = document.body.className.replace(/paper-\\w+/, 'paper-' + paper.toLowerCase());
  let n = 0;
  for (const table of document.querySelectorAll('table')) {
    n += 1;
    let m = 0;
    for (const row of table.querySelectorAll('tbody tr')) {
      m += 1;
      const cell = row.querySelector('th, td');
      const spot = document.createElement('span');
      spot.textContent = ` qt${n}r${m}a `;
      spot.style.cssText = 'position:absolute;left:0;top:0;font:1px/1px monospace;white-space:pre;';
      cell.style.position = 'relative';
      cell.appendChild(spot);
    }
  }
}"""


@cache
def printed(name: str, paper: str) -> dict[str, PdfReader]:
    """Page of the manual -> its print on a paper, every row marked."""
    found = {}
    for path in page_files(name):
        with opened() as page:
            page.goto(path.as_uri())
            page.evaluate(MARKS, paper)
            found[path.stem] = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    return found


def data_of(reader: PdfReader) -> bytes:
    """The file that a reader reads."""
    stream = reader.stream
    assert isinstance(stream, io.BytesIO)
    return stream.getvalue()


def needs_poppler() -> None:
    if shutil.which("pdftoppm") is None:
        pytest.skip("pdftoppm is not installed (apt-get install poppler-utils)")


def words_of(reader: PdfReader) -> list[str]:
    """The text of each sheet, by poppler: it reads the marks of a long table twenty times as fast as pypdf."""
    needs_poppler()
    said = subprocess.run(["pdftotext", "-", "-"], input=data_of(reader), capture_output=True, check=True).stdout
    return said.decode().split("\f")[: len(reader.pages)]


def filled(reader: PdfReader) -> list[float]:
    """How far down each sheet has ink between its running head and foot: 1 is all of it."""
    needs_poppler()
    made = []
    with TemporaryDirectory() as folder:
        (Path(folder) / "x.pdf").write_bytes(data_of(reader))
        subprocess.run(["pdftoppm", "-r", "25.4", "-gray", f"{folder}/x.pdf", f"{folder}/x"], check=True)  # a pixel is a millimetre
        for path in sorted(Path(folder).glob("x-*.pgm")):
            _, size, _, pixels = path.read_bytes().split(b"\n", 3)
            wide, tall = map(int, size.split())
            rows = [min(pixels[y * wide : (y + 1) * wide]) < 200 for y in range(15, tall - 13)]
            made.append(max((y for y, ink in enumerate(rows, 1) if ink), default=0) / len(rows))
    return made


@pytest.mark.parametrize(("name", "paper"), PRINTED)
def test_no_sheet_is_nearly_empty(name: str, paper: str) -> None:
    """A quarter of each sheet is used, and of the last one of a page, where the text just ends, a tenth."""
    for page, reader in printed(name, paper).items():
        parts = filled(reader)
        assert len(parts) == len(reader.pages)
        for number, part in enumerate(parts, 1):
            least = 0.1 if number == len(parts) else 0.25
            assert part >= least, f"{name} on {paper}: {page}, sheet {number} of {len(parts)}, is filled to {part:.0%}"


@pytest.mark.parametrize(("name", "paper"), PRINTED)
def test_no_table_is_torn_off_after_a_row_or_two(name: str, paper: str) -> None:
    """Where a table goes on, three of its rows or more stand on each sheet."""
    torn = 0
    for page, reader in printed(name, paper).items():
        rows: dict[str, Counter[int]] = {}
        for number, said in enumerate(words_of(reader), 1):
            for table in re.findall(r"(qt\d+)r\d+a", said):
                rows.setdefault(table, Counter())[number] += 1
        for table, sheets in rows.items():
            torn += len(sheets) > 1
            assert len(sheets) == 1 or min(sheets.values()) >= 3, f"{name} on {paper}: {page}, {table} has rows on sheets {dict(sheets)}"
    assert torn > 5


@pytest.mark.parametrize(("name", "paper"), PRINTED)
def test_every_schematic_sheet_prints_alone_and_at_full_size(name: str, paper: str) -> None:
    """One drawing on each sheet of paper laid on its side, its letters as large as on every other."""
    assert min(max(size) for size in SIZE_MM.values()) - 14 >= MAX_WIDTH * UNIT_MM
    assert min(min(size) for size in SIZE_MM.values()) - 18.5 >= MAX_HEIGHT * UNIT_MM
    page = next(p for p in composed(name).pages if p.name == "schematic")
    figures = [b for b in page.blocks if isinstance(b, Figure)]
    sheets = printed(name, paper)["schematic"].pages
    assert len(sheets) == len(figures)
    for sheet in sheets:
        assert [round(float(v) / 72 * 25.4) for v in (sheet.mediabox.height, sheet.mediabox.width)] == [round(v) for v in SIZE_MM[paper]]
        sizes: set[float] = set()

        def seen(text: str, cm: list[float], tm: list[float], font: object, size: float, sizes: set[float] = sizes) -> None:
            if text.strip():
                sizes.add(round(abs(size * tm[3] * cm[3]), 1))

        sheet.extract_text(visitor_text=seen)
        wanted = STYLES["value"].size
        assert any(abs(size - wanted) < 0.05 for size in sizes), f"{name} on {paper}: letters of {sorted(sizes)} pt, wanted {wanted}"


@pytest.mark.parametrize(("name", "paper"), PRINTED)
def test_the_whole_amp_is_one_sheet_of_paper(name: str, paper: str) -> None:
    """The wide sheet: no title on a page of its own."""
    assert len(printed(name, paper)["schematic-wide"].pages) == 1


@pytest.mark.parametrize(("name", "paper"), PRINTED)
def test_the_stop_page_is_one_sheet_for_the_wall(name: str, paper: str) -> None:
    """It fills its sheet, in letters of 16 points or more, the number to call in the largest, with lines to write on."""
    reader = printed(name, paper)["stop"]
    assert len(reader.pages) == 1
    assert filled(reader)[0] > 0.8
    sizes: dict[float, str] = {}

    def seen(text: str, cm: list[float], tm: list[float], font: object, size: float) -> None:
        if text.strip():
            points = round(abs(size * tm[3] * cm[3]), 1)
            sizes[points] = sizes.get(points, "") + text

    reader.pages[0].extract_text(visitor_text=seen)
    small = " ".join(text for points, text in sizes.items() if points < 15.9)
    assert "Do not touch" not in small
    assert "Do not touch" in " ".join(sizes.values())
    call = next(b.title for p in composed(name).pages if p.name == "stop" for b in p.blocks if isinstance(b, Caution))
    assert max(sizes) > 40
    assert call in sizes[max(sizes)]
    assert "Address" in " ".join(sizes.values())


def test_printed_links_say_where_they_lead() -> None:
    """A link in running text whose words do not name the page it leads to has the page's title behind it, on paper only."""
    path = next(p for p in page_files("curlew") if p.stem == "first-power")
    with opened() as page:
        page.goto(path.as_uri())
        shown = "a => [a.textContent, a.getAttribute('href'), getComputedStyle(a, '::after').content]"
        behind = f"() => [...document.querySelectorAll('main :is(p, li) a[href]')].map({shown})"
        titles = {p.name: p.title for p in composed("curlew").pages}
        for media in ("screen", "print"):
            page.emulate_media(media=media)
            links = page.evaluate(behind)
            assert len(links) > 3
            for text, href, after in links:
                leads = titles.get(href.partition(".html")[0], "")
                named = not leads or leads.casefold() in text.casefold()
                wanted = media == "print" and not named
                assert (leads in after) == wanted, (media, text, href, after)
