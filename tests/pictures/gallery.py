"""Makes the gallery: a page with a picture of every stage kind, each cut out of an amp that is elaborated and solved for it.

    .venv/bin/python tests/pictures/gallery.py            makes it again
    .venv/bin/python tests/pictures/gallery.py --check    says which files are not as the compiler draws them today, and exits with 1

The kinds come from the compiler's own lists, the amps from the demos and the drawing tests' variants, words and snippets from the schema:
a new kind appears by itself.
"""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "compiler"), str(ROOT / "tests")]

from humdinger.analysis import solve  # noqa: E402
from humdinger.circuit.elaborate import SECTION_KINDS, SIGNAL_KINDS, stage_module  # noqa: E402
from humdinger.circuit.netlist import Netlist, StageInstance  # noqa: E402
from humdinger.drawing.block import Block  # noqa: E402
from humdinger.drawing.pen import Pen  # noqa: E402
from humdinger.drawing.render import render  # noqa: E402
from humdinger.drawing.schematic import blocks_of  # noqa: E402
from humdinger.drawing.sheet import Strip, lay_out  # noqa: E402
from humdinger.drawing.style import plain_svg  # noqa: E402
from support.amps import demo, demo_text, dump  # noqa: E402
from support.drawn import VARIANTS, variant, varied  # noqa: E402
from support.front import DEMOS  # noqa: E402
from support.signal_amps import text_of  # noqa: E402

GALLERY = ROOT / "specs_demo" / "gallery"
KINDS = (*SIGNAL_KINDS, *SECTION_KINDS)
HEAD = """# Every stage kind

What the language can build, one picture each, as the manual draws it: cut out of a whole amp, with the volts that the solver gives
there. The snippet is the schema's example, less what the compiler fills in; `schemas/amp.schema.json` describes every key.
Made by `tests/pictures/gallery.py`; a test says when it is stale.
"""
PARTS = (("Stages of `signal:`", SIGNAL_KINDS), ("What stands around the signal", SECTION_KINDS))


@cache
def amps() -> Mapping[str, tuple[str, StageInstance, StageInstance]]:
    """Kind -> the first amp in which it is drawn, the stage there, and the stage whose cell draws its parts. Demos come first."""
    found: dict[str, tuple[str, StageInstance, StageInstance]] = {}
    for name in (*(path.parent.name for path in DEMOS), *VARIANTS):
        stages = netlist_of(name).stages
        if all(stage.kind in found for stage in stages):
            continue
        drawn = [({ref for block in blocks_at(name, stage, {}) for ref in block.drawn}, stage) for stage in stages]
        for refs, stage in drawn:
            here = stage if refs else next((other for seen, other in drawn if seen & set(stage.parts.values())), None)
            if here is not None:
                found.setdefault(stage.kind, (name, stage, here))
        if set(KINDS) <= set(found):
            break
    return found


def blocks_at(name: str, stage: StageInstance, volts: Mapping[str, float]) -> list[Block]:
    """A stage of an amp as its cell draws it."""
    return [block for block in blocks_of(Pen(netlist_of(name), Block(), volts), stage) if block.drawn]


@cache
def netlist_of(name: str) -> Netlist:
    """The netlist of a demo or a variant."""
    if name in VARIANTS:
        return variant(name)
    netlist = demo(name).netlist
    assert netlist is not None
    return netlist


@cache
def volts_of(name: str) -> Mapping[str, float]:
    """The volts of its nets at rest, nominal mains."""
    results = demo(name).results if name not in VARIANTS else solve(netlist_of(name), bench=False)[0]
    assert results is not None
    return results.nominal.volts


def picture(kind: str) -> bytes:
    """The svg of a kind's cell."""
    name, _, drawer = amps()[kind]
    netlist, volts = netlist_of(name), volts_of(name)
    sheet = lay_out(kind, Strip(kind), [blocks_at(name, drawer, volts)], Pen(netlist, Block(), volts))
    names = {net: it.label or net for net, it in netlist.nets.items()}
    return (plain_svg(render(sheet, id=f"gallery-{kind}", style="zigzag", names=names)).rstrip() + "\n").encode()


@cache
def schema() -> dict[str, Any]:
    return json.loads((ROOT / "schemas" / "amp.schema.json").read_text(encoding="utf-8"))


def words(kind: str) -> str:
    """One line on a kind: the schema's, or the first words of its module where the language has no part of its own for it."""
    part = schema()["$defs"].get(f"stage-{kind}")
    if part:
        return part["description"]
    said = re.search(r"What it does:\s*(.*?)\n\s*\n", f"{stage_module(kind).__doc__}\n\n", re.DOTALL)
    assert said, kind
    text = " ".join(said.group(1).split())
    return text[0].upper() + text[1:]


def snippet(kind: str) -> str:
    """The schema's example of what makes a kind, as YAML at its place in a spec."""
    if f"stage-{kind}" in schema()["$defs"]:
        return dump({"signal": [_texts(schema()["$defs"][f"stage-{kind}"]["examples"][0])]})
    name, stage, _ = amps()[kind]
    text = varied(text_of(VARIANTS[name][0]), VARIANTS[name][1]) if name in VARIANTS else demo_text(name)
    tree = yaml.load(text, yaml.BaseLoader)
    path = _path(text, stage)
    at, rule = tree, schema()
    for key in path:
        at = at[int(key)] if isinstance(at, list) else at.get(key, {})
        rule = _rule(rule["items"] if key.isdigit() else _rule(rule).get("properties", {}).get(key, rule), at)
    example = next((e for e in rule.get("examples", ()) if _agrees(e, at, rule)), at)
    held: Any = _texts(example)
    for key in reversed(path):
        held = [held] if key.isdigit() else {key: held}
    return dump(held)


def _path(text: str, stage: StageInstance) -> list[str]:
    """Where in the spec a stage comes from: the innermost place that begins where the stage's span does, or one of its name."""
    root = yaml.compose(text, yaml.BaseLoader)
    want = (stage.span.line - 1, stage.span.column - 1)
    found = max((path for path, marks in _marks(root, []) if want in marks), key=len, default=[])
    tree: Any = yaml.load(text, yaml.BaseLoader)
    for key in found:
        tree = tree[int(key)] if isinstance(tree, list) else tree[key]
    if isinstance(tree, dict) and stage.id in tree:
        return [*found, stage.id]
    return [stage.id] if found in ([], ["humdinger"]) else found


def _marks(node: yaml.Node, path: list[str]) -> Iterator[tuple[list[str], set[tuple[int, int]]]]:
    if isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            here = [*path, key.value]
            yield here, {(n.start_mark.line, n.start_mark.column) for n in (key, value)}
            yield from _marks(value, here)
    elif isinstance(node, yaml.SequenceNode):
        for number, value in enumerate(node.value):
            here = [*path, str(number)]
            yield here, {(value.start_mark.line, value.start_mark.column)}
            yield from _marks(value, here)


def _rule(rule: dict[str, Any], at: Any = None) -> dict[str, Any]:
    while "$ref" in rule:
        rule = {**schema()["$defs"][rule["$ref"].rpartition("/")[2]], **{k: v for k, v in rule.items() if k != "$ref"}}
    if "x-choice" in rule and isinstance(at, dict):
        key = rule["x-choice"]
        ways = [way["then"] for way in rule["allOf"] if way["if"]["properties"][key]["const"] == at.get(key)]
        return _rule(ways[0]) if ways else rule
    return rule


def _agrees(example: Any, at: Any, rule: Mapping[str, Any]) -> bool:
    """Whether an example chooses the same words as the amp does."""
    if not isinstance(example, dict) or not isinstance(at, dict):
        return isinstance(example, dict) == isinstance(at, dict)
    chosen = [key for key, below in rule.get("properties", {}).items() if "enum" in below and key in example and key in at]
    return all(str(example[key]) == str(at[key]) for key in chosen)


def _texts(value: Any) -> Any:
    """Every scalar as a spec has it written."""
    if isinstance(value, dict):
        return {key: _texts(below) for key, below in value.items()}
    if isinstance(value, list):
        return [_texts(below) for below in value]
    return {True: "true", False: "false"}.get(value, str(value)) if isinstance(value, bool) else str(value)


def files() -> dict[str, bytes]:
    """File name -> what stands in it today."""
    made = {f"{kind}.svg": picture(kind) for kind in KINDS}
    page = [HEAD]
    for title, kinds in PARTS:
        page.append(f"## {title}\n")
        for kind in kinds:
            name, *_ = amps()[kind]
            amp = name.capitalize() if name not in VARIANTS else "an amp of the drawing tests"
            picked = f"![{kind} as the manual draws it, in {amp}]({kind}.svg)"
            page.append(f"### {kind}\n\n{words(kind)}\n\n{picked}\n\n```yaml\n{snippet(kind)}```\n")
    made["README.md"] = ("\n".join(page)).encode()
    return made


def stale() -> list[str]:
    """Files that are not as today's compiler makes them, and pictures of kinds that are gone."""
    now = files()
    there = {path.name: path.read_bytes() for path in GALLERY.glob("*")} if GALLERY.is_dir() else {}
    return sorted(name for name in {*now, *there} if now.get(name) != there.get(name))


def make() -> None:
    """Writes every file and takes away what belongs to no kind."""
    GALLERY.mkdir(exist_ok=True)
    now = files()
    for path in GALLERY.glob("*"):
        if path.name not in now:
            path.unlink()
    for name, data in now.items():
        (GALLERY / name).write_bytes(data)


def main() -> int:
    """0: made, or nothing stale."""
    parser = argparse.ArgumentParser(description="gallery of the stage kinds")
    parser.add_argument("--check", action="store_true", help="only say what is stale")
    if not parser.parse_args().check:
        make()
        return 0
    found = stale()
    for name in found:
        print(f"{name} is not as the compiler draws it today: run {Path(__file__).relative_to(ROOT)}")
    return 1 if found else 0


if __name__ == "__main__":
    raise SystemExit(main())
