"""Whole amps through the whole compiler, in a world of memory; and specs changed at a path."""

from __future__ import annotations

import copy
import io
from collections.abc import Mapping
from functools import cache

import yaml

from humdinger.compile import Compiled, judged
from humdinger.diagnostics import Severity
from support.front import PATH, ROOT, SHOP, world

ABOVE_INFO = (Severity.DANGER, Severity.ERROR, Severity.WARNING)


@cache
def demo_text(name: str) -> str:
    """The text of a demo spec."""
    return (ROOT / "specs_demo" / name / f"{name}.amp.yaml").read_text(encoding="utf-8")


def run(text: str, files: Mapping[str, str | bytes] | None = None, *, propose: bool = False) -> Compiled:
    """A spec through every pass to the findings."""
    return judged(world(text, files), PATH, propose=propose)


@cache
def demo(name: str) -> Compiled:
    """A demo, judged once per process."""
    return run(demo_text(name))


def above_info(made: Compiled) -> list[str]:
    """The codes of what stands above info, sorted."""
    return sorted(d.code for d in made.diagnostics if d.severity in ABOVE_INFO)


def shop_with(changes: Mapping[str, str]) -> dict[str, str]:
    """The demos' shop file with values set at paths, as a file of the world; {} for no change."""
    return {"shop.yaml": changed(SHOP.read_text(encoding="utf-8"), changes)} if changes else {}


def changed(text: str, changes: Mapping[str, str]) -> str:
    """A spec with values set at paths ("supply/filter/0/capacitor"); the value is YAML, `~` deletes the key."""
    tree = yaml.load(text, yaml.BaseLoader)
    for path, value in changes.items():
        *parents, last = path.split("/")
        at = tree
        for key in parents:
            at = at[int(key)] if isinstance(at, list) else at.setdefault(key, {})
        if value.strip() == "~":
            at.pop(last, None) if isinstance(at, dict) else at.pop(int(last))
        elif isinstance(at, list):
            at[int(last)] = yaml.load(value, yaml.BaseLoader)
        else:
            at[last] = yaml.load(value, yaml.BaseLoader)
    return dump(tree)


def dump(tree: object) -> str:
    """A tree of plain texts as YAML with the texts unquoted where YAML lets them stand bare."""

    class Plain(yaml.SafeDumper):
        pass

    def text(dumper: yaml.SafeDumper, value: str) -> yaml.Node:
        style = "'" if value == "" or ": " in value or value[0] in "[{#&*!|>'\"%@`-" or " #" in value else None
        node = dumper.represent_scalar("tag:yaml.org,2002:str", value, style=style)
        if style is None:
            node.tag = _bare_tag(value)
        return node

    Plain.add_representer(str, text)
    return yaml.dump(copy.deepcopy(tree), Dumper=Plain, sort_keys=False, allow_unicode=True, width=1000)


def _bare_tag(value: str) -> str:
    """The tag under which YAML would read the text back, so that the dumper leaves it bare."""
    return yaml.SafeDumper(io.StringIO()).resolve(yaml.ScalarNode, value, (True, False)) if value else "tag:yaml.org,2002:str"
