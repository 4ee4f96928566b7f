"""schemas/library.schema.json: valid, complete, explains every key, and agrees with the data files and with the reader."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator
from referencing import Registry, Resource

from humdinger.parts import block, reader
from humdinger.parts.folder import DATA

SCHEMA = json.loads((Path(__file__).resolve().parents[2] / "schemas" / "library.schema.json").read_text(encoding="utf-8"))
REGISTRY: Registry = Registry().with_resource(SCHEMA["$id"], Resource.from_contents(SCHEMA))
FOLDERS = {"tubes": "tube-file", "fits": "fit-file", "models": "model-file", ".": ""}
FILES = sorted(DATA.rglob("*.yaml"))


def validator(definition: str) -> Draft202012Validator:
    return Draft202012Validator({"$ref": f"{SCHEMA['$id']}#/$defs/{definition}" if definition else SCHEMA["$id"]}, registry=REGISTRY)


def plain(text: str) -> Any:
    """YAML as JSON would have it: keys are texts."""
    return json.loads(json.dumps(yaml.safe_load(text)))


@pytest.mark.parametrize("path", FILES, ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_a_data_file_is_valid(path: Path) -> None:
    definition = FOLDERS.get(path.parent.name) or f"{path.stem}-file"
    errors = [f"{list(e.absolute_path)}: {e.message}" for e in validator(definition).iter_errors(plain(path.read_text(encoding="utf-8")))]
    assert errors == []


def test_the_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(SCHEMA)


def properties(node: Any, where: str = "#") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every property of the schema with its place."""
    if isinstance(node, dict):
        for key in ("properties", "patternProperties"):
            for name, sub in node.get(key, {}).items() if isinstance(node.get(key), dict) else ():
                yield f"{where}/{name}", sub
        for name, sub in node.items():
            yield from properties(sub, f"{where}/{name}")
    elif isinstance(node, list):
        for item in node:
            yield from properties(item, where)


def test_every_key_has_a_description_and_an_example_that_is_valid() -> None:
    found = list(properties(SCHEMA))
    assert len(found) > 250
    for where, sub in found:
        assert sub.get("description", "").endswith("."), where
        assert sub.get("examples"), where
        inline = {**sub, "$schema": SCHEMA["$schema"], "$id": SCHEMA["$id"] + "/inline"}
        if "$ref" in inline:
            inline["$ref"] = SCHEMA["$id"] + inline["$ref"]
        text = json.dumps(inline).replace('"#/$defs', f'"{SCHEMA["$id"]}#/$defs')
        check = Draft202012Validator(json.loads(text), registry=REGISTRY)
        for example in sub["examples"]:
            problems = [e.message for e in check.iter_errors(example) if "required property" not in e.message]
            assert problems == [], where


def names(definition: str) -> set[str]:
    """The SI names behind the keys of a definition."""
    return {block.canonical(key)[0] for key in SCHEMA["$defs"][definition]["properties"]}


def test_schema_and_reader_know_the_same_keys() -> None:
    assert names("ratings") == set(reader.RATING_KEYS) | {"system", "variant", "source", "note", "grid_leak_note"}
    assert names("rectifier") == set(reader.RECTIFIER_KEYS) | set(reader.RECTIFIER_TABLES) | {"source"}
    assert names("point") == set(reader.POINT_KEYS) | {"kind", "tubes", "source", "note"}
    parameters = {name for law in reader.LAW_PARAMETERS.values() for name in law}
    assert set(SCHEMA["$defs"]["model"]["properties"]["parameters"]["properties"]) == parameters
    assert tuple(SCHEMA["$defs"]["tube-file"]["properties"]["kind"]["enum"]) == reader.TUBE_KINDS
    assert tuple(SCHEMA["$defs"]["ratings"]["properties"]["system"]["enum"]) == reader.SYSTEMS


GOOD = """
humdinger-parts: 1
tubes-library:
  EL84S: {like: EL84, source: sheet that came with the tubes, envelope: {seated_mm: 60}}
diodes-library:
  BY1: {like: 1N4007, source: sheet, repetitive_reverse_volts: 1300}
"""


def test_a_parts_file_of_the_builders_own() -> None:
    assert list(validator("").iter_errors(plain(GOOD))) == []
    assert list(validator("").iter_errors(plain(GOOD.replace("seated_mm", "seeted_mm")))) != []
    assert list(validator("").iter_errors(plain(GOOD.replace("source: sheet that came with the tubes, ", "")))) != []
