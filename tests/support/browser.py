"""A headless Chromium over playwright, one per test process, and manuals on disk for it to open."""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import pytest

from humdinger.site.publish import publish
from support.manuals import manual

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

CHROMIUM = "chromium-headless-shell"

MM = 96 / 25.4
"""CSS pixels per millimetre, by the definition of CSS."""

PRINTABLE_MM = {"A4": 210 - 24, "Letter": 215.9 - 24}
"""Width between the margins of the style sheet, 12 mm either side."""

Scheme = Literal["light", "dark"]


@cache
def browser() -> Browser:
    """The browser of this process. Skips with its reason where there is none; fails in CI."""
    path = shutil.which(CHROMIUM)
    if path is None:
        reason = f"{CHROMIUM} is not installed (apt-get install {CHROMIUM})"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    from playwright.sync_api import sync_playwright

    driver = sync_playwright().start()
    found = driver.chromium.launch(executable_path=path, args=["--no-sandbox", "--disable-gpu"])

    def stop() -> None:
        found.close()
        driver.stop()

    atexit.register(stop)
    return found


@cache
def folder(name: str) -> Path:
    """A demo's manual in a folder of its own."""
    above = Path(tempfile.mkdtemp(prefix="humdinger-pages-"))
    atexit.register(shutil.rmtree, above, ignore_errors=True)
    publish(manual(name)[1], above / name)
    return above / name


def page_files(name: str) -> tuple[Path, ...]:
    """The pages of a demo's manual, sorted."""
    return tuple(sorted(folder(name).glob("*.html")))


@contextmanager
def opened(width: int = 1200, height: int = 1000, scheme: Scheme = "light") -> Iterator[Page]:
    """A page of a window of this size, closed afterwards. Script of the page itself stays off; the test's own still runs."""
    context = browser().new_context(viewport={"width": width, "height": height}, color_scheme=scheme)
    try:
        yield context.new_page()
    finally:
        context.close()
