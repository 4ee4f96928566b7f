"""The results file: every field of every class of results.py is in it under its name, and the schema knows each and asks for each.

A field added to results.py is written by itself; describe it in schemas/results.schema.json (`properties` and `required`), and give it a
name with its unit in NAMES of analysis/export_json.py when its own lacks one.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from pathlib import Path
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

import pytest
from jsonschema import Draft202012Validator

from humdinger.analysis import results as module
from humdinger.analysis.export_json import LEFT_OUT, NAMES, results_json
from humdinger.analysis.results import Condition, Results
from humdinger.compile import solved
from support.front import PATH, ROOT, SMALLEST, world
from support.netlists import small_amp

SCHEMA = json.loads((ROOT / "schemas" / "results.schema.json").read_text(encoding="utf-8"))
CLASSES = {name: cls for name, cls in vars(module).items() if is_dataclass(cls)}


def made_up(kind: Any, number: float = 1.2345678949, name: str = "X1") -> Any:
    """A value of an annotated type, every field filled in."""
    origin, inside = get_origin(kind), get_args(kind)
    if origin in (Union, UnionType):
        return made_up(next(one for one in inside if one is not NoneType), number, name)
    if origin is tuple:
        if len(inside) == 2 and inside[1] is Ellipsis:
            return (made_up(inside[0], number, name),)
        return tuple(made_up(one, number, name) for one in inside)
    if origin in (Mapping, dict):
        return {name: made_up(inside[1], number, name)}
    if is_dataclass(kind):
        hints = get_type_hints(kind)
        return kind(**{field.name: made_up(hints[field.name], number, name) for field in fields(kind)})  # type: ignore[operator]
    return {float: number, int: 3, bool: True, str: name, complex: complex(number, -number)}[kind]


def exported(results: Results) -> dict[str, Any]:
    return results_json(small_amp(), results, "Knot", "sha256:0")


def test_fits_the_schema():
    errors = [f"{e.json_path}: {e.message}" for e in Draft202012Validator(SCHEMA).iter_errors(exported(made_up(Results)))]
    assert errors == []


def test_a_field_more_or_less_does_not_fit():
    data = exported(made_up(Results))
    data["mains"]["more"] = 1
    assert not Draft202012Validator(SCHEMA).is_valid(data)
    data = exported(made_up(Results))
    del data["mains"]["watts"]
    assert not Draft202012Validator(SCHEMA).is_valid(data)


def test_nine_digits_no_minus_zero_and_null_for_what_is_no_number():
    data = exported(made_up(Results))
    assert data["mains"]["watts"] == 1.23456789
    data = exported(made_up(Results, number=math.inf))
    assert data["mains"]["watts"] is None
    data = exported(made_up(Results, number=-0.0))
    assert str(data["mains"]["watts"]) == "0.0"
    json.dumps(exported(made_up(Results, number=math.nan)), allow_nan=False)


def test_keys_are_sorted_at_every_depth():
    data = exported(made_up(Results))
    assert json.dumps(data) == json.dumps(data, sort_keys=True)


def test_same_name_twice_is_a_bug_of_ours():
    twice = made_up(Results)
    rows = twice.gains * 2
    twice = type(twice)(**{field.name: getattr(twice, field.name) for field in fields(twice)} | {"gains": rows})
    with pytest.raises(ValueError, match="X1"):
        exported(twice)


def test_renames_and_omissions_name_fields_that_exist():
    for name, table in {**NAMES, **{key: dict.fromkeys(value) for key, value in LEFT_OUT.items()}}.items():
        assert set(table) <= {field.name for field in fields(CLASSES[name])}, name


UNITS = ("volts", "amps", "watts", "ohms", "siemens", "farads", "henries", "joules", "seconds", "hertz", "degrees", "percent", "db",
         "pp", "rms", "ratio", "second", "peak")  # fmt: skip
PURE = {"mu", "form_factor", "iterations", "sharers", "position", "gain_required", "gain_available", "gain_available_aged", "format",
        "controls", "positions", "worst_position", "idle_percent_cold", "idle_percent_hot", "volts_rms_full", "volt_amps",
        "gain_db", "value", "formula_gives", "solver_gives"}  # fmt: skip


def test_the_unit_is_in_every_name_of_a_number():
    def numbers(rule: Any, name: str):
        kinds = rule.get("type", ())
        kinds = (kinds,) if isinstance(kinds, str) else kinds
        if "number" in kinds or "integer" in kinds:
            yield name
        for key, below in rule.get("properties", {}).items():
            yield from numbers(below, key)
        for key in ("items", "additionalProperties"):
            if isinstance(rule.get(key), dict):
                yield from numbers(rule[key], name)

    found = set(numbers(SCHEMA, ""))
    for rule in SCHEMA["$defs"].values():
        found |= set(numbers(rule, ""))
    assert found
    without = {name for name in found if name not in PURE and not any(unit in name.split("_") for unit in UNITS)}
    assert without == set()


def test_the_schema_lists_the_conditions_of_the_analysis():
    assert made_up(Condition).name == "X1"
    assert Path(module.__file__).name == "results.py"


def test_a_solved_amp_fits_the_schema():
    made = solved(world(SMALLEST.read_text(encoding="utf-8")), PATH)
    assert made.netlist is not None
    assert made.results is not None
    data = results_json(made.netlist, made.results, made.netlist.name, "sha256:0")
    assert [f"{e.json_path}: {e.message}" for e in Draft202012Validator(SCHEMA).iter_errors(data)] == []
    assert data == results_json(made.netlist, made.results, made.netlist.name, "sha256:0")
    nominal = data["conditions"]["nominal"]
    assert set(nominal["nodes"]) <= set(data["nodes"])
    assert set(nominal["parts"]) <= set(data["parts"])
    assert nominal["nodes"]["B1"]["dc_volts"] == float(f"{made.results.nominal.volts['B1']:.9g}")
