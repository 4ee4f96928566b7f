"""Text that tries to be more than text, and the places of a spec where a person may write some, read off the schemas."""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ET
from collections import Counter
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

import html5lib

from support.front import ROOT

TEXTS = (
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)><b title='",
    "' onmouseover='alert(1)' x='",
    "</style></title></textarea><script>alert(1)</script><style>",
    "</svg></g></text><svg onload=alert(1)><foreignObject><iframe src=javascript:alert(1)></iframe></foreignObject>",
    "javascript:alert(1)",
    "[x](javascript:alert(1)) [y](data:text/html,<script>alert(1)</script>) ![z](https://evil.example/z.png) <https://evil.example>",
    "]]> --> <!-- <![CDATA[ <?php ?> <!DOCTYPE x [<!ENTITY y SYSTEM 'file:///etc/passwd'>]> &y; &#x3c;b&#x3e;",
    "{{ 7*7 }} {% for x in (1).__class__.__mro__ %}{{ x }}{% endfor %} {# gone #} ${7*7} #{7*7}",
    '} body { display: none } @import url("//evil.example/x.css"); \\22 \\9 \\ ',
    "&lt;b&gt; &amp;#60; &notit; &AMP &; &#0; &#x110000;",
    "a'b\"c`d=e<f>g&h/i\\j|k\tl  m",
    "W" * 700,
    "مرحبا بالعالم שלום עולם 12 وات",
    "🎸👩‍🔧🇬🇧 \U0001f9ff ﷽ Z͑ͫ̓ͪ̂ͫ̽͏̴̙̤̞͉͚̯̞̠͍A̴̵̜̰͔ͫ͗͢ \u200b\u200d\u00ad\u2060",
    "# heading\n\n- item\n\n    code\n\n| a | b |\n|---|---|\n\n<div>block</div>\n",
    "../../../etc/passwd",
    "%s %n {0} {name} $(reboot) `reboot` ; rm -rf / #",
    "-",
    "0",
)
"""Markup, script, SVG, attribute and style breakers, templates, markdown, paths, long words, other directions, emoji."""

CONTROLS = ("a\x07b", "a\x00b", "a\x1b[31mb", "a\u202eb", "a\x85b", "a\ufeffb")
"""Characters that no spec may have, quoted or not."""

REFERENCES = re.compile(r"include/[0-9]+|.*/winding|.*/feeds(/[0-9]+)?|.*/lead_colours|waive/.*|refs/.*")
"""Texts that name something; one that is not there is a mistake, not a text to print."""

SAFE_SCHEMES = ("https:", "http:", "mailto:")


@cache
def schema(name: str) -> Mapping[str, Any]:
    """A schema of the project."""
    return json.loads((ROOT / "schemas" / f"{name}.schema.json").read_text(encoding="utf-8"))


def leaves(name: str, tree: Any) -> Iterator[tuple[str, str, bool]]:
    """(path, x-type, whether it stands in the tree) of every text a schema allows in the blocks that are in the tree."""
    yield from _leaves(schema(name), schema(name), tree, "")


def _leaves(whole: Mapping[str, Any], rule: Mapping[str, Any], tree: Any, path: str) -> Iterator[tuple[str, str, bool]]:
    rule = _resolved(whole, rule)
    kinds = rule.get("type", ())
    if "string" in (kinds if isinstance(kinds, list) else [kinds]) and not isinstance(tree, dict | list):
        closed = "enum" in rule or "pattern" in rule
        yield path, "word" if closed else rule.get("x-type", "text"), tree is not None
    if isinstance(tree, dict):
        properties: dict[str, Any] = dict(rule.get("properties", {}))
        for condition in rule.get("allOf", ()):
            wanted = condition["if"].get("properties", {})
            if all(tree.get(key) == value.get("const") for key, value in wanted.items()):
                properties |= _resolved(whole, condition["then"]).get("properties", {})
        for pattern, below in rule.get("patternProperties", {}).items():
            properties |= {key: below for key in tree if re.search(pattern, key)}
        for key, below in properties.items():
            yield from _leaves(whole, below, tree.get(key), f"{path}/{key}" if path else key)
    elif isinstance(tree, list) and "items" in rule:
        for number, item in enumerate(tree):
            yield from _leaves(whole, rule["items"], item, f"{path}/{number}")


def _resolved(whole: Mapping[str, Any], rule: Mapping[str, Any]) -> Mapping[str, Any]:
    if "$ref" not in rule:
        return rule
    return {**whole["$defs"][rule["$ref"].rpartition("/")[2]], **{k: v for k, v in rule.items() if k != "$ref"}}


def spread(text: str) -> dict[str, str]:
    """A component in one line ("22u 630V") as a block, where its make (`part`) can stand."""
    value, *words = text.split()
    found = {"value": value}
    capacitor = bool(re.search(r"[0-9][pnu]", value))
    for word in words:
        if word.endswith("W"):
            found["power"] = word
        elif word.endswith("%"):
            found["tolerance"] = word
        elif word.endswith("V"):
            found["rating" if capacitor else "volts"] = word
        else:
            found["taper" if word in ("linear", "audio", "reverse-audio") else "type"] = word
    return found


# -- what a page may have ----------------------------------------------------------------------------------------------
def shape(path: str, data: bytes) -> tuple[set[str], set[tuple[str, str]]]:
    """Elements and (element, attribute) of a page or a drawing; AssertionError when it does not parse, or could do something."""
    text = data.decode("utf-8")
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    root = parser.parse(text) if path.endswith(".html") else ET.fromstring(text)
    tags: Counter[str] = Counter()
    attributes: set[tuple[str, str]] = set()
    for element in root.iter():
        if not isinstance(element.tag, str):
            continue  # a comment of ours; the number of comments is no harm
        tag = element.tag.rpartition("}")[2].lower()
        tags[tag] += 1
        for key, value in element.attrib.items():
            name = str(key).rpartition("}")[2].lower()
            assert not name.startswith("on"), f"{path}: <{tag} {name}>"
            if name in ("href", "src", "action", "data", "srcset", "poster", "formaction"):
                _harmless(path, value)
            if name == "style":
                assert "url(" not in value, f"{path}: {value}"
            attributes.add((tag, name))
    assert not tags["script"], path
    return set(tags), attributes


def _harmless(path: str, link: str) -> None:
    scheme = re.match(r"[\s\x00-\x20]*([a-zA-Z][a-zA-Z0-9+.-]*:)", link)
    assert scheme is None or scheme[1].lower() in SAFE_SCHEMES, f"{path}: {link}"
    assert not link.startswith("//"), f"{path}: {link}"


def rules_of_style(data: bytes) -> list[str]:
    """What the style elements of a page say, without what stands in their strings, and without numbers: a long word widens a sheet."""
    styles = re.findall(r"<style>(.*?)</style>", data.decode("utf-8"), re.DOTALL)
    return [re.sub(r"[0-9.]+", "0", re.sub(r'"[^"\n]*"', '""', style)) for style in styles]
