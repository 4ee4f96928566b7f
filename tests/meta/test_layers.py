"""The house: imports point downwards, every room is listed, and some walls have no door at all."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "compiler" / "humdinger"
TOP = ("cli", "batch", "summary", "completion", "explain", "fitting", "compile")
ROOMS = (
    "site",
    "manual",
    "drawing",
    "revision",
    "rules",
    "bench",
    "shop",
    "layout",
    "analysis",
    "circuit",
    "spec",
    "parts",
    "source",
    "units",
    "diagnostics",
)
BOTTOM = ("records",)
ORDER = TOP + ROOMS + BOTTOM
NOT_YET = ("bench", "shop")
"""Rooms that appear with the first work that fills them."""

FORBIDDEN = {
    "drawing": ("rules",),
    "rules": ("drawing",),
    "analysis": ("spec",),
    "site": ("circuit", "analysis", "parts", "units"),
}
ONLY_ROOM = {
    "numpy": ("analysis",),
    "scipy": (),
    "jinja2": ("site",),
    "markdown": ("site",),
    "nh3": ("site",),
    "markupsafe": ("site",),
    "schemdraw": ("drawing",),
    "matplotlib": ("drawing",),
    "ezdxf": ("drawing",),
    "jsonschema": (),
    "yaml": ("source", "parts"),
}
PURE = ("print", "exit", "input")


def modules() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def room_of(path: Path) -> str:
    first = path.relative_to(PACKAGE).parts[0]
    return first.removesuffix(".py")


def imported_rooms(path: Path) -> set[str]:
    """Rooms a module imports from, lazy imports and type-checking imports included."""
    found: set[str] = set()
    depth = len(path.relative_to(PACKAGE).parts)
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.ImportFrom) and node.level:
            if node.level == depth:
                names = [node.module.split(".")[0]] if node.module else [a.name for a in node.names]
                found.update(names)
            assert node.level <= depth, f"{path} reaches above the package"
    return {n for n in found if n in ORDER}


def outside(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            found.update(a.name.split(".")[0] for a in node.names)
        if isinstance(node, ast.ImportFrom) and not node.level and node.module:
            found.add(node.module.split(".")[0])
    return found


@pytest.mark.parametrize("path", modules(), ids=lambda p: str(p.relative_to(PACKAGE)))
def test_imports_point_downwards(path: Path) -> None:
    room = room_of(path)
    if room == "__init__":
        return
    assert room in ORDER, f"{path} is in a room that the house does not list"
    for other in imported_rooms(path) - {room}:
        assert ORDER.index(other) > ORDER.index(room), f"{path}: {room} may not import {other}"
        assert other not in FORBIDDEN.get(room, ()), f"{path}: {room} may never import {other}"


@pytest.mark.parametrize("path", modules(), ids=lambda p: str(p.relative_to(PACKAGE)))
def test_heavy_packages_stay_in_their_room(path: Path) -> None:
    for name in outside(path) & set(ONLY_ROOM):
        assert room_of(path) in ONLY_ROOM[name], f"{path} imports {name}"
    assert "humdinger" not in outside(path), f"{path}: imports inside the package are relative"


@pytest.mark.parametrize("path", [p for p in modules() if room_of(p) != "cli"], ids=lambda p: str(p.relative_to(PACKAGE)))
def test_nothing_below_the_command_line_prints_or_exits(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id not in PURE, f"{path}:{node.lineno} calls {node.func.id}"
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            assert (node.value.id, node.attr) not in {("os", "environ"), ("os", "getenv"), ("sys", "exit"), ("sys", "argv")}, (
                f"{path}:{node.lineno}"
            )


def test_only_the_world_reads_the_clock() -> None:
    for path in modules():
        if path.name == "world.py":
            continue
        text = path.read_text()
        for word in ("datetime.now", "date.today", "time.time("):
            assert word not in text, f"{path} reads the clock with {word}"


def test_every_room_is_listed_and_none_is_empty() -> None:
    rooms = {p.name for p in PACKAGE.iterdir() if p.is_dir() and p.name != "__pycache__"}
    assert rooms == set(ROOMS) - set(NOT_YET)
    guide = (PACKAGE.parents[1] / "DEVELOPERS.md").read_text()
    for room in rooms:
        assert f"{room}/" in guide, f"DEVELOPERS.md has no caption for {room}/"
        document = ast.get_docstring(ast.parse((PACKAGE / room / "__init__.py").read_text()))
        assert document, f"{room}/__init__.py says nothing about the room"


def test_modules_stay_small() -> None:
    for path in modules():
        text = path.read_text()
        lines = text.count("\n")
        assert lines <= 500 or "over 500 lines because" in text[:1500], f"{path} has {lines} lines"
