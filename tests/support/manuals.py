"""Compiled manuals of the demos, made once per process."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import pytest

from humdinger.compile import Compiled, compiled
from humdinger.manual import compose
from humdinger.manual.model import Manual
from support.amps import demo_text
from support.demos import NAMES
from support.front import PATH, world

DEMO_NAMES = NAMES

BROWSED = ("dunlin", "curlew", "heron", *(pytest.param(name, marks=pytest.mark.deep) for name in NAMES[3:]))
"""The demos for tests that open a browser; those past the first three are marked for --deep."""


@cache
def manual(name: str) -> tuple[Compiled, Mapping[str, bytes]]:
    """A demo and the files of its manual."""
    made, files = compiled(world(demo_text(name)), PATH)
    assert files is not None, [d.message for d in made.diagnostics]
    return made, files


def pages(name: str) -> dict[str, str]:
    """The HTML pages of a demo's manual by file name."""
    return {path: data.decode("utf-8") for path, data in manual(name)[1].items() if path.endswith(".html")}


@cache
def composed(name: str) -> Manual:
    """A demo's manual as data, before it becomes HTML."""
    made, _ = manual(name)
    passes = (made.source, made.design, made.netlist, made.results, made.layout, made.findings)
    assert None not in passes
    return compose(*passes, "0")  # type: ignore[arg-type]
