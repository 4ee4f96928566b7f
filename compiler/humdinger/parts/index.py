"""The library in one JSON file that loads fast: the YAML files are the truth, parts/data/index.json the same once more.

Left out are the fits and the figures of the models, which the compiler does not need. tests/parts/reindex.py writes the file,
a test proves it current.
"""

from __future__ import annotations

import json

from .folder import DATA
from .library import load_yaml
from .reader import MODEL_KEYS

TABLES = ("names", "bases", "diodes", "regions", "wire", "bodies", "sources")


def build_index() -> str:
    """The text of index.json, made from the YAML files; one line for each, so that a change shows where it is."""
    documents = {name: load_yaml(name) for name in TABLES}
    for path in sorted((DATA / "tubes").glob("*.yaml")):
        documents[f"tubes/{path.stem}"] = load_yaml(f"tubes/{path.stem}")
    for path in sorted((DATA / "models").glob("*.yaml")):
        model = load_yaml(f"models/{path.stem}")
        documents[f"models/{path.stem}"] = {key: model[key] for key in MODEL_KEYS if key in model}
    lines = [f"{json.dumps(name)}: {json.dumps(data, ensure_ascii=False, separators=(',', ':'))}" for name, data in documents.items()]
    return "{\n" + ",\n".join(lines) + "\n}\n"
