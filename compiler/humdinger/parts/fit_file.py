"""The file of `humdinger fit-tube`: points that somebody read off a data sheet, and what else the library has to know of the tube.

Read like a parts file: numbers with their unit in the key, everything wrong with its place. An editor has schemas/fit.schema.json.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..diagnostics import Diagnostic, Help, Label, Severity, Span, nearest
from ..records import record
from ..source.tree import Mapping as TreeMapping
from .block import Block, Fault, Path, place, to_number
from .fit_faults import PAGES
from .library import Library, load
from .model import OperatingPoint
from .reader import LAW_PARAMETERS, read_point
from .user import KEY, plain

HEADER, VERSION = "humdinger-fit", "1"
LAWS = ("triode", "pentode")
CURRENTS = ("plate", "screen")
KEYS = (HEADER, "name", "like", "law", "section", "source", "note", "points", "curves", "fixed", "part")
NEEDED = {"triode": 6, "pentode": 8}
"""So many numbers at least: as many as the law has parameters that points can settle."""

MOST_READINGS = 2000


@record
class Reading:
    """One number off a curve, SI. screen_volts: None for a triode. current: "plate" or "screen"."""

    plate_volts: float
    grid_volts: float
    screen_volts: float | None
    amps: float
    current: str
    source: str
    span: Span


@record
class FitFile:
    """A whole file. points, point_spans and raw_points go together.

    part: what is written into the entry as it stands. section: "" or a section's name.
    """

    name: str
    like: str
    law: str
    section: str
    source: str
    note: str
    points: tuple[OperatingPoint, ...]
    point_spans: tuple[Span, ...]
    readings: tuple[Reading, ...]
    fixed: Mapping[str, float]
    part: Mapping[str, Any]
    raw_points: tuple[Any, ...]
    spans: Mapping[Path, Span]

    def at(self, key: str) -> Span:
        """Where a key of the file stands."""
        return self.span((key, KEY)) if (key, KEY) in self.spans else self.span((key,))

    def span(self, path: Path) -> Span:
        """Where a path stands, or the nearest place above it."""
        while path not in self.spans:
            path = path[:-1]
        return self.spans[path]


def read_fit_file(tree: TreeMapping, library: Library) -> tuple[FitFile | None, tuple[Diagnostic, ...]]:
    """The file of a tree, None with an error in it."""
    spans: dict[Path, Span] = {}
    data = plain(tree, (), spans)
    first = tree.entries[0].key.span if tree.entries else tree.span
    reader = _Reader(data, spans, first, library)
    found = reader.file()
    said = tuple(sorted(reader.found, key=lambda d: (d.labels[0].span, d.code)))
    return (None if said else found), said


class _Reader:
    def __init__(self, data: Mapping[str, Any], spans: dict[Path, Span], first: Span, library: Library) -> None:
        self.spans = {**spans, (): first}
        self.faults: list[Fault] = []
        self.found: list[Diagnostic] = []
        self.library = library
        self.block = Block(data, (), self.faults)

    def file(self) -> FitFile | None:
        """Everything, or None."""
        block = self.block
        if block.text(HEADER) != VERSION:
            self.say("SCH-064", f"this is no file of readings for a fit: `{HEADER}: {VERSION}` is wanted", self.at((HEADER,)))
            return None
        name, source, note = block.text("name"), block.source, block.text("note")
        law = block.choice("law", LAWS)
        for key, value in (("name", name), ("source", source)):
            if not value:
                self.faults.append(Fault((), "SCH-065" if key == "source" else "SCH-063", f"the file has no {key}"))
        like = self.like(block.text("like"))
        points = [read_point(b) for b in block.blocks("points")]
        point_spans = tuple(self.at(("points", i)) for i in range(len(points)))
        readings = self.curves(law)
        fixed = self.fixed(law)
        part = block.raw("part")
        if part is not None and not isinstance(part, Mapping):
            self.faults.append(Fault(("part",), "SCH-061", "part must be a mapping, as under tubes-library of a parts file"))
        section = block.text("section")
        block.done()
        self.report()
        if not self.found:
            self.enough(law, points, readings)
        data = part if isinstance(part, Mapping) else {}
        raw = self.block.raw("points")
        if not like and not data and not self.found:
            cure = "write `like: NAME` for the pins and the heater of a built-in type, or `part:` with the tube's own"
            self.say("SCH-063", "the file says nothing of the tube but its curves", self.at(()), cure)
        return FitFile(
            name,
            like,
            law,
            section,
            source,
            note,
            tuple(points),
            point_spans,
            readings,
            fixed,
            data,
            tuple(raw if isinstance(raw, list) else ()),
            self.spans,
        )

    def like(self, name: str) -> str:
        """The built-in type that gives pins, base and heater."""
        if not name:
            return ""
        known = self.library.built_in_name(name)
        if not known:
            near = nearest(name, self.library.tube_names(aliases=True))
            self.say("NAM-042", f"the library has no {name}", self.at(("like",)), f"did you mean {near}?" if near else "")
        return known or ""

    def curves(self, law: str) -> tuple[Reading, ...]:
        """The readings of all curves."""
        found: list[Reading] = []
        for curve in self.block.blocks("curves"):
            grid = curve.cited("grid_volts", True)
            screen = curve.cited("screen_volts", law == "pentode")
            if law == "triode" and screen is not None:
                curve.fault(("screen_volts",), "SCH-066", "a triode has no screen")
            current = curve.choice("current", CURRENTS, "plate")
            if law == "triode" and current == "screen":
                curve.fault(("current",), "SCH-064", "a triode has no screen current")
            rows = curve.raw("readings")
            if not isinstance(rows, list) or not rows:
                at = ("readings",) if "readings" in curve else ()
                curve.fault(at, "SCH-063", f"{place(curve.path)} has no readings", "a list of pairs: [[plate volts, milliamps], ...]")
                rows = []
            curve.done()
            for i, row in enumerate(rows):
                pair = self.pair(row, (*curve.path, "readings", i))
                if pair and grid and len(found) < MOST_READINGS:
                    volts = screen.value if screen else None
                    span = self.at((*curve.path, "readings", i))
                    found.append(Reading(pair[0], grid.value, volts, pair[1] / 1e3, current, grid.source, span))
        return tuple(found)

    def pair(self, row: Any, path: Path) -> tuple[float, float] | None:
        """[plate volts, milliamps]."""
        numbers = [to_number(item) for item in row] if isinstance(row, list) else []
        if len(numbers) != 2 or numbers[0] is None or numbers[1] is None:
            self.faults.append(Fault(path, "SCH-061", "a reading is a pair of numbers: [plate volts, milliamps]"))
            return None
        if numbers[0] <= 0 or numbers[1] < 0 or numbers[0] > 1e5 or numbers[1] > 1e5:
            self.faults.append(Fault(path, "SCH-064", "plate volts are above 0, milliamps 0 or more, and both of a tube's size"))
            return None
        return numbers[0], numbers[1]

    def fixed(self, law: str) -> dict[str, float]:
        """Parameters that are not to be fitted."""
        if "fixed" not in self.block:
            return {}
        block = self.block.block("fixed")
        found = {name: value for name in LAW_PARAMETERS[law] if (value := block.number(name)) is not None}
        block.done()
        return found

    def enough(self, law: str, points: list[OperatingPoint], readings: tuple[Reading, ...]) -> None:
        """Whether the numbers settle a fit at all."""
        told = ("plate_amps", "screen_amps", "transconductance", "plate_ohms", "mu", "mu_screen")
        count = len(readings) + sum(key in (point.values or {}) for point in points for key in told)
        if count < NEEDED[law]:
            message = f"{count} numbers are too few for the {law} law, which has {NEEDED[law]} parameters to settle"
            self.say("FIT-001", message, self.at(("curves",) if readings else ("points",)), "read more points off the plate curves")
            return
        screens = any(r.current == "screen" for r in readings) or any("screen_amps" in (p.values or {}) for p in points)
        if law == "pentode" and not screens:
            cure = "give screen_milliamps of one point, or a curve with `current: screen`"
            self.say("FIT-001", "no number says anything of the screen current", self.at(("curves",)), cure)
        if not any(r.current == "plate" and r.amps > 0 for r in readings) and not any("plate_amps" in (p.values or {}) for p in points):
            self.say(
                "FIT-001",
                "no number says anything of the plate current",
                self.at(("curves",)),
                "give plate_milliamps of a point, or a curve",
            )

    def at(self, path: Path) -> Span:
        """Where a path stands, or the nearest place above it."""
        while path not in self.spans:
            path = path[:-1]
        return self.spans[path]

    def report(self) -> None:
        """Faults as diagnostics, each once."""
        for fault in dict.fromkeys(self.faults):
            path = (*fault.path, KEY) if fault.code == "SCH-066" else fault.path
            self.say(fault.code, fault.message, self.at(path), fault.help)

    def say(self, code: str, message: str, span: Span, cure: str = "") -> None:
        from .faults import PARTS_CODES

        rule = (PAGES.get(code) or PARTS_CODES[code]).rule
        self.found.append(Diagnostic(code, rule, Severity.ERROR, message, (Label(span, "", True),), helps=(Help(cure),) if cure else ()))


def ratings_of(file: FitFile) -> Mapping[str, float]:
    """Limits that the file or the type it is like gives, SI, of the section that is fitted: plate_volts, cathode_amps, plate_watts."""
    data: Any = load(f"tubes/{file.like}") if file.like else {}
    found: dict[str, float] = {}
    for source in (data, file.part):
        for block in (source.get("each_section", {}), *_sections(source, file.section)):
            sets = block.get("ratings", ()) if isinstance(block, Mapping) else ()
            for row in sets if isinstance(sets, list) else ():
                if isinstance(row, Mapping):
                    found |= _limits(Block(row, (), []))
    return found


def _sections(data: Any, section: str) -> list[Any]:
    held = data.get("sections", {}) if isinstance(data, Mapping) else {}
    if not isinstance(held, Mapping):
        return []
    return [value for key, value in held.items() if not section or key == section]


def _limits(block: Block) -> dict[str, float]:
    names = ("plate_volts", "screen_volts", "cathode_amps", "plate_watts")
    return {name: cited.value for name in names if (cited := block.cited(name)) is not None}
