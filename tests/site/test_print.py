"""What comes out of the printer: no row is cut over two sheets, a table that goes on has its head again, no heading stands alone.

Chromium prints each page to PDF after a mark of one pixel was put at the top and the foot of every row, head and heading; pypdf says on
which sheet each mark came out.
"""

from __future__ import annotations

import io
import re
from collections import defaultdict
from functools import cache

import pytest
from pypdf import PdfReader

from support.browser import opened, page_files
from support.manuals import BROWSED

MARKS = """() => {
  const mark = (where, text) => {
    const spot = document.createElement('span');
    spot.textContent = ' ' + text + ' ';
    spot.style.cssText = 'position:absolute;font:1px/1px monospace;white-space:pre;left:0;' + (text.endsWith('z') ? 'bottom:0' : 'top:0');
    where.style.position = 'relative';
    where.appendChild(spot);
  };
  let n = 0;
  for (const table of document.querySelectorAll('table')) {
    n += 1;
    const head = table.querySelector('thead th');
    if (head) mark(head, `qt${n}h`);
    let m = 0;
    for (const row of table.querySelectorAll('tbody tr')) {
      m += 1;
      const cell = row.querySelector('th, td');
      if (!cell) continue;
      mark(cell, `qt${n}r${m}a`);
      mark(cell, `qt${n}r${m}z`);
    }
  }
  let k = 0;
  for (const heading of document.querySelectorAll('h2, h3, caption')) {
    k += 1;
    mark(heading, `qh${k}a`);
    let next = heading.tagName === 'CAPTION' ? heading.parentElement.querySelector('tbody tr td, tbody tr th') : heading.nextElementSibling;
    if (next && next.tagName !== 'CAPTION' && heading.tagName !== 'CAPTION') {
      const inner = next.querySelector('li, td, dt, p, figcaption');
      next = inner || next;
    }
    if (next) mark(next, `qh${k}b`);
  }
}"""


@cache
def sheets(name: str, size: str) -> dict[str, dict[str, set[int]]]:
    """Page of the manual -> mark -> the sheets it came out on."""
    found: dict[str, dict[str, set[int]]] = {}
    for path in page_files(name):
        with opened() as page:
            page.goto(path.as_uri())
            page.evaluate(MARKS)
            data = page.pdf(format=size, prefer_css_page_size=False)
        marks: dict[str, set[int]] = defaultdict(set)
        for number, sheet in enumerate(PdfReader(io.BytesIO(data)).pages):
            for mark in re.findall(r"q[th]\d+(?:h|r\d+[az]|[ab])", sheet.extract_text()):
                marks[mark].add(number)
        found[path.name] = dict(marks)
    return found


@pytest.mark.parametrize("name", BROWSED)
def test_no_row_is_cut_on_paper(name: str) -> None:
    """Both ends of a row come out on one sheet."""
    rows = 0
    for page, marks in sheets(name, "A4").items():
        for mark, where in marks.items():
            if re.fullmatch(r"qt\d+r\d+a", mark):
                rows += 1
                assert len(where) == 1, f"{page}: row {mark} came out on {where}"
                assert marks.get(mark[:-1] + "z") == where, f"{page}: row {mark} begins on {where}, ends on {marks.get(mark[:-1] + 'z')}"
    assert rows > 500


@pytest.mark.parametrize("name", BROWSED)
def test_a_table_that_goes_on_has_its_head_again(name: str) -> None:
    """Every sheet with rows of a table has its head."""
    again = 0
    for page, marks in sheets(name, "A4").items():
        rows: dict[str, set[int]] = defaultdict(set)
        for mark, where in marks.items():
            if match := re.fullmatch(r"(qt\d+)r\d+a", mark):
                rows[match[1]] |= where
        for table, where in rows.items():
            if f"{table}h" in marks:
                assert where <= marks[f"{table}h"], (
                    f"{page}: table {table} has rows on {sorted(where)}, its head on {sorted(marks[table + 'h'])}"
                )
                again += len(where) > 1
    assert again > 3


@pytest.mark.parametrize("name", BROWSED)
def test_no_heading_stands_alone_at_the_foot(name: str) -> None:
    """A heading and what follows it begin on one sheet."""
    for page, marks in sheets(name, "A4").items():
        for mark, where in marks.items():
            if mark.startswith("qh") and mark.endswith("a"):
                follows = marks.get(mark[:-1] + "b", where)
                assert where & follows, f"{page}: heading {mark} on {where}, what follows on {follows}"
