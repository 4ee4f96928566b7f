"""The manual as data: pages of headings, paragraphs, tables and figures. No HTML, no electronics.

Text that a person wrote (names, notes, summaries) is plain text here and is escaped by the site; markdown is marked as such.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from ..records import record


@record
class Link:
    """A link to an anchor of a page of the manual. page "": the same page."""

    text: str
    page: str
    anchor: str = ""


@record
class Strong:
    """Emphasised text: a value to be found at a glance."""

    text: str


@record
class File:
    """A link to a file of the manual that is not a page: path as in Manual.files."""

    text: str
    path: str


@record
class Picture:
    """A small drawing within a line of text, as SVG made by drawing/. The words beside it say the same: it is hidden from screen readers."""

    svg: str

    @property
    def text(self) -> str:
        """What is left of it without its drawing."""
        return ""


Run = str | Link | Strong | File | Picture
Text = tuple[Run, ...]


@record
class Cell:
    """A cell of a table. kind: "text", "number", "blank" (to write in), "box" (to tick). key: the JSON pointer of the number in results.json (keys.py)."""

    text: Text = ()
    kind: str = "text"
    key: str = ""


@record
class Row:
    """A row, with the anchor others link to. state: "", "pass", "fail", "waived", "not-evaluated", "section".

    parts, nets: what of a drawing on the same page this row speaks of, by the names of the drawing's groups ("R5", "V1a"; net names).
    """

    cells: tuple[Cell, ...]
    anchor: str = ""
    state: str = ""
    parts: tuple[str, ...] = ()
    nets: tuple[str, ...] = ()


@record
class Table:
    """A table. The caption says what it shows; the note with it says for which conditions it holds."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    note: str = ""
    anchor: str = ""


@record
class Heading:
    """A heading of level 2 or 3."""

    text: str
    anchor: str
    level: int = 2


@record
class Paragraph:
    """Running text."""

    text: Text


@record
class Markdown:
    """Text the user wrote in markdown; the site renders it without raw HTML."""

    text: str


@record
class Items:
    """A list; ordered when the order is the order of work."""

    items: tuple[Text, ...]
    ordered: bool = False


@record
class Caution:
    """A box that must be seen. level: "danger" or "warning"."""

    title: str
    text: tuple[Text, ...]
    level: str = "danger"


@record
class Facts:
    """Pairs of name and value."""

    pairs: tuple[tuple[str, Text], ...]


@record
class Figure:
    """A drawing under its title (level 2), as SVG text made by drawing/; safe to inline.

    true_size: it is measured or cut from the paper, so it is never scaled; it must fit the narrower paper (FULL_SIZE_MM).
    """

    name: str
    title: str
    svg: str
    width_mm: float
    height_mm: float
    true_size: bool = False
    note: Text = ()

    @property
    def wide(self) -> bool:
        """Whether it prints larger on a page laid on its side."""
        return not self.true_size and self.width_mm > PORTRAIT_MM and self.width_mm > self.height_mm


PORTRAIT_MM = 180.0
"""What a page of either paper takes upright, between its margins."""


FULL_SIZE_MM = (186.0, 245.0)
"""What both papers take upright at full size: A4 is narrower, Letter is shorter (12 mm and 16 mm margins)."""


@record
class Gallery:
    """Small drawings side by side under one caption, each with its title (level 3); they wrap with the width of the page."""

    caption: str
    anchor: str
    figures: tuple[Figure, ...]


Block = Heading | Paragraph | Markdown | Items | Caution | Facts | Figure | Gallery | Table


@record
class Page:
    """A page. name is its file's stem; live: power is on while this page is used, so it carries the safety block.

    style: rules of its own, beyond the style sheet of all pages: CSS made by us, in which no text of the user stands.
    """

    name: str
    title: str
    lead: str
    blocks: tuple[Block, ...]
    live: bool = False
    style: str = ""


@record
class Manual:
    """The whole manual: pages in the order a builder needs them, and the data files that go with it (path -> text)."""

    name: str
    revision: str
    maker: str
    region: str
    paper: str
    checksum: str
    version: str
    pages: tuple[Page, ...]
    files: Mapping[str, str] = field(default_factory=dict)


def t(*runs: Run) -> Text:
    """A text of runs."""
    return runs


def num(text: str, key: str = "") -> Cell:
    """A number cell."""
    return Cell((text,), "number", key)


def txt(*runs: Run) -> Cell:
    """A text cell."""
    return Cell(runs)


BLANK = Cell((), "blank")
BOX = Cell((), "box")
