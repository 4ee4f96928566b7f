"""Results as plain data, format 1: what `humdinger solve --format json` prints and the manual's data folder holds.

Keys are designators, section names, node names and stage ids; the unit is in every name, peak, peak to peak and rms too; numbers have
nine significant digits; what is not known is null. Within a format there are only additions. schemas/results.schema.json says what each
name means; a test holds it to the classes of results.py.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from ..circuit.netlist import Netlist
from ..source.override import Override
from .results import Operating, Results

FORMAT = 1

NAMES: Mapping[str, Mapping[str, str]] = {
    "Condition": {"mains_volts": "mains_volts_rms"},
    "SectionPoint": {"transconductance": "transconductance_siemens"},
    "Stress": {"volts": "dc_volts", "amps": "dc_amps"},
    "RectifierPoint": {"winding_rms_amps": "winding_amps_rms", "charging_rms_amps": "charging_amps_rms"},
    "WindingBudget": {
        "volts": "volts_rms",
        "rms_amps": "amps_rms",
        "consumers": "consumer_amps",
        "full_drive_rms_amps": "full_drive_amps_rms",
    },
    "HeaterBudget": {
        "volts": "volts_rms",
        "nominal_volts": "nominal_volts_rms",
        "load_amps": "load_amps_rms",
        "rated_amps": "rated_amps_rms",
        "consumers": "consumer_amps_rms",
        "tube_volts": "tube_volts_rms",
        "series": "in_series",
    },
    "HeatersInSeries": {"amps": "amps_rms", "volts": "volts_rms", "rated_volts": "rated_volts_rms", "apart": "apart_ratio"},
    "HeaterCathode": {"volts": "dc_volts", "volts_cold_start": "cold_start_dc_volts"},
    "MainsBudget": {"primary_rms_amps": "primary_amps_rms", "full_drive_rms_amps": "full_drive_amps_rms"},
    "LoadLine": {"screen_share": "screen_share_ratio"},
    "CopperLoss": {"primary_share": "primary_share_ratio", "secondary_share": "secondary_share_ratio"},
    "StageGain": {"gain": "gain_ratio"},
    "Response": {"real": "real_ratio", "imag": "imaginary_ratio"},
    "OscillatorPoint": {"margin": "margin_ratio"},
    "Tremolo": {
        "retained": "retained_ratio",
        "retained_solved": "retained_solved_ratio",
        "points": "positions",
        "worst_margin": "worst_margin_ratio",
    },
    "RunningTremolo": {"loudest_gain": "loudest_gain_ratio", "softest_gain": "softest_gain_ratio", "depth": "depth_ratio"},
    "Excursion": {"cut_off_share": "cut_off_share_ratio"},
    "LineLevel": {"share": "share_ratio"},
    "LoopLevel": {"device_gain": "device_gain_ratio"},
    "Inverter": {"gain_a": "gain_a_ratio", "gain_b": "gain_b_ratio", "imbalance": "imbalance_ratio", "tail_share": "tail_share_ratio"},
    "OutputLoad": {"ratio": "load_to_optimum_ratio"},
    "SpeakerLoad": {"ratio": "load_to_optimum_ratio"},
    "DriveLevel": {"distortion": "distortion_ratio", "mean_volts": "mean_dc_volts"},
    "PowerPoint": {"wave": "wave_volts"},
    "LargeSignal": {"idle_volts": "idle_dc_volts"},
    "Worked": {"closed": "formula_gives", "solved": "solver_gives"},
    "FuseLoad": {
        "idle_rms_amps": "idle_amps_rms",
        "full_drive_rms_amps": "full_drive_amps_rms",
        "shorted_rms_amps": "shorted_amps_rms",
    },
    "BiasSupply": {"lost_fuse_amps": "lost_fuse_amps_rms"},
    "MainsChart": {"nominal_mains_volts": "nominal_mains_volts_rms", "mains_volts": "mains_volts_rms", "volts": "dc_volts"},
    "FeedbackLoop": {"gain_open": "gain_open_ratio", "gain_closed": "gain_closed_ratio"},
}
"""Class -> field -> name in the file, where the field's own name lacks its unit or says it in another order."""

PAIRS = ("consumers",)
"""Fields that are (designator, number) rows."""

LEFT_OUT = {"Operating": ("condition", "convergence", "volts", "ripple_volts_pp")}
"""Fields that are exported in another place of their parent."""

_Key = Callable[[Any], str]
_KEYS: Mapping[str, _Key] = {
    "windings": lambda row: f"{row.transformer}/{row.winding}",
    "heaters": lambda row: row.winding,
    "heater_cathodes": lambda row: row.section,
    "discharges": lambda row: "+".join(row.capacitors),
    "gains": lambda row: f"{row.stage}/{row.to_net}",
    "grid_paths": lambda row: row.section,
    "cathode_biases": lambda row: row.resistor,
    "fuses": lambda row: row.fuse,
    "corners": lambda row: row.capacitor,
    "leaks": lambda row: row.capacitor,
    "loops": lambda row: row.stage,
    "decouplers": lambda row: row.node,
    "contacts": lambda row: f"{row.jack}/{row.contact}",
    "centre_taps": lambda row: f"{row.rectifier}/{row.winding}",
    "speaker_loads": lambda row: row.state,
    "load_lines": lambda row: row.section,
    "worked": lambda row: row.name,
}
"""Lists of Results that are written under the names of their rows."""

_TOP = {
    "operating": "conditions",
    "heaters": "heater_windings",
    "stresses": "worst_stress",
    "charging_rms_amps": "charging_amps_rms",
}


def results_json(netlist: Netlist, results: Results, name: str, checksum: str, overrides: Iterable[Override] = ()) -> dict[str, Any]:
    """The results of an amp as dicts, lists, texts, numbers and None. The same input gives the same output, keys sorted.

    overrides: what the command line put in the place of something in the spec.
    """
    made: dict[str, Any] = {
        "format": FORMAT,
        "name": name,
        "checksum": checksum,
        "overrides": {one.path: {"argument": one.argument, "text": one.text, "was": one.was} for one in overrides},
        "region": netlist.region.code,
        "mains_hertz": _plain(netlist.mains_hertz),
        "b_plus": list(netlist.b_plus),
        "parts": {part.ref: _part(part) for part in netlist.parts},
        "nodes": {net.name: {"domain": net.domain, "label": net.label} for net in netlist.nets.values()},
    }
    for field in fields(results):
        value = getattr(results, field.name)
        made[_TOP.get(field.name, field.name)] = _top(field.name, value)
    return _sorted(made)


def _part(part: Any) -> dict[str, Any]:
    kind = type(part).__name__
    words = "".join(f"-{letter.lower()}" if letter.isupper() else letter for letter in kind).lstrip("-")
    return {"kind": words, "role": part.role, "stage": part.stage, "spec_path": part.path}


def _top(name: str, value: Any) -> Any:
    if name == "operating":
        return {condition: _operating(point) for condition, point in value.items()}
    if name == "responses":
        return _grouped(value, lambda row: row.net)
    if name in _KEYS and isinstance(value, tuple):
        return _keyed(value, _KEYS[name])
    return _plain(value)


def _operating(point: Operating) -> dict[str, Any]:
    """One condition: what was assumed, how it converged, then nodes, sections, parts, rectifiers."""
    nodes: dict[str, dict[str, Any]] = {net: {"dc_volts": _plain(volts)} for net, volts in point.volts.items()}
    for net, ripple in point.ripple_volts_pp.items():
        nodes.setdefault(net, {})["ripple_volts_pp"] = _plain(ripple)
    return {**_plain(point), "assumed": _plain(point.condition), "solve": _plain(point.convergence), "nodes": nodes}


def _plain(value: Any) -> Any:
    """Any value of results.py as plain data."""
    if value is None or isinstance(value, bool | str | int):
        return value
    if isinstance(value, float):
        return _number(value)
    if isinstance(value, complex):
        return {"real_per_second": _number(value.real), "imaginary_radians_per_second": _number(value.imag)}
    if is_dataclass(value):
        return _record(value)
    if isinstance(value, Mapping):
        return {str(key): _plain(below) for key, below in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    return _plain(value.item())  # a scalar of numpy


def _record(value: Any) -> dict[str, Any]:
    kind = type(value).__name__
    names, skipped = NAMES.get(kind, {}), LEFT_OUT.get(kind, ())
    made: dict[str, Any] = {}
    for field in fields(value):
        if field.name not in skipped:
            below = getattr(value, field.name)
            made[names.get(field.name, field.name)] = {ref: _plain(n) for ref, n in below} if field.name in PAIRS else _plain(below)
    return made


def _number(value: float) -> float | None:
    """Nine significant digits; null for what is no number."""
    if not math.isfinite(value):
        return None
    return float(f"{value:.9g}") + 0.0  # no minus zero


def _keyed(rows: Iterable[Any], key: _Key) -> dict[str, Any]:
    """Rows under their names. Two rows of one name are a bug of ours."""
    made: dict[str, Any] = {}
    for row in rows:
        name = key(row)
        if name in made:
            raise ValueError(f"two results are called {name}")
        made[name] = _plain(row)
    return made


def _grouped(rows: Iterable[Any], key: _Key) -> dict[str, list[Any]]:
    made: dict[str, list[Any]] = {}
    for row in rows:
        made.setdefault(key(row), []).append(_plain(row))
    return made


def _sorted(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _sorted(value[key]) for key in sorted(value)}
    if isinstance(value, list):
        return [_sorted(item) for item in value]
    return value
