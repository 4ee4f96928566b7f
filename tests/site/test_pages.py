"""The pages as files: they parse, every link and anchor leads somewhere, nothing leaves the folder, user text stays inert."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import html5lib
import pytest

from humdinger.compile import compiled
from humdinger.site.render import quoted
from support.amps import changed, demo_text
from support.front import PATH, world
from support.manuals import DEMO_NAMES, manual, pages


def parsed(text: str) -> ET.Element:
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(text)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_html_parses_without_an_error(name: str) -> None:
    for text in pages(name).values():
        parsed(text)  # strict: raises at the first parse error


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_every_link_and_anchor_resolves(name: str) -> None:
    found = {path: parsed(text) for path, text in pages(name).items()}
    ids: dict[str, set[str]] = {}
    for path, root in found.items():
        here = [e.get("id") for e in root.iter() if e.get("id")]
        assert len(here) == len(set(here)), f"{path}: an id stands twice: {[i for i in here if here.count(i) > 1][:3]}"
        ids[path] = {i for i in here if i}
    for path, root in found.items():
        for element in root.iter("a"):
            target, _, anchor = (element.get("href") or "").partition("#")
            assert not re.match(r"[a-z]+:", target), f"{path} links outside: {target}"
            page = target or path
            if element.get("download") is not None:
                assert page in manual(name)[1], f"{path} offers {page}"
                continue
            assert page in found, f"{path} links to {page}"
            assert not anchor or anchor in ids[page], f"{path}: no #{anchor} in {page}"
        for element in root.iter("link"):
            assert element.get("href") in manual(name)[1]


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_no_page_needs_network_or_script(name: str) -> None:
    for text in pages(name).values():
        assert "<script" not in text
        assert not re.search(r"(?:src|href)=\"(?:https?:)?//", text)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_safety_comes_first_and_on_live_pages(name: str) -> None:
    found = pages(name)
    assert "no substitute for training" in found["index.html"]
    assert "This step needs power" in found["chart.html"]
    assert all("stop.html" in text for text in found.values())


def test_hostile_text_stays_text() -> None:
    text = changed(
        demo_text("dunlin"),
        {
            "model/name": "<script>alert(1)</script> & Co",
            "model/summary": "Bad <img src=x onerror=alert(1)> [link](javascript:alert(1)) <svg onload=alert(1)>",
            "signal/1/note": "</svg><script>alert(2)</script>",
        },
    )
    made, files = compiled(world(text), PATH)
    assert files is not None, [d.message for d in made.diagnostics]
    for path, data in files.items():
        if path.endswith(".html"):
            page = data.decode("utf-8")
            root = parsed(page)
            assert not list(root.iter("script"))
            assert not list(root.iter("img"))
            for element in root.iter():
                assert not any(key.startswith("on") for key in element.attrib)
                assert not (element.get("href") or "").startswith("javascript")


def test_checksum_is_of_the_sources() -> None:
    made, files = manual("dunlin")
    import hashlib

    assert made.source is not None
    texts = [made.source.texts[p] for p in (made.source.path, *(i.path for i in made.source.includes))]
    expected = hashlib.sha256(b"".join(t.encode() + b"\0" for t in texts)).hexdigest()
    assert expected in files["index.html"].decode("utf-8")


def test_without_revision_and_date_no_page_speaks_of_them() -> None:
    text = "\n".join(line for line in demo_text("dunlin").splitlines() if not line.strip().startswith(("revision:", "date:")))
    made, files = compiled(world(text + "\n"), PATH)
    assert files is not None, [d.message for d in made.diagnostics]
    for path, data in files.items():
        if path.endswith(".html"):
            assert "evision" not in data.decode("utf-8"), path
            assert "Spec date" not in data.decode("utf-8"), path


def test_running_heads_cannot_leave_their_string() -> None:
    shown = str(quoted('</style><b>"\\ }* Ü9'))
    assert not set("<>/}*=") & set(shown)
    assert shown.count('"') == 2
    # read back as CSS does: a code point of six digits takes one blank with it
    assert re.sub(r"\\([0-9a-f]{6}) ", lambda m: chr(int(m[1], 16)), shown[1:-1]) == '</style><b>"\\ }* Ü9'


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_what_is_for_information_is_not_marked_as_failed(name: str) -> None:
    root = parsed(pages(name)["judgement.html"])
    assert [row for row in root.iter("tr") if row.get("class") == "info"]
    assert not [row for row in root.iter("tr") if row.get("class") == "fail"]
    for cell in root.iter("td"):
        if cell.get("class") == "number" and (found := re.fullmatch(r"[+−](\d+) %", cell.text or "")):
            assert int(found[1]) <= 1000
