"""A fit as an entry of a parts file, and as a table for the one who made it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..parts.block import Fault
from ..parts.fit_file import FitFile
from ..parts.library import Library, load
from ..parts.reader import SECTION_NAMES, read_tube
from ..parts.user import merged
from ..parts.writing import as_yaml
from ..units import show
from ..units.values import Quantity
from .fit_own import OwnFit, as_model

MARK = "# Written by `humdinger fit-tube`"
UNITS = {"transconductance": "S", "plate resistance": "Ω", "output": "W"}
"""Unit of a figure; amps for the others."""


def entry_of(file: FitFile, own: OwnFit) -> tuple[dict[str, Any] | None, tuple[Fault, ...]]:
    """The entry as data, and what a parts file would not take of it (paths below `part`)."""
    kind = str(file.part.get("kind") or (load(f"tubes/{file.like}") or {}).get("kind", "") if file.like or "kind" in file.part else "")
    names = SECTION_NAMES.get(kind, ("",))
    data = {**({"like": file.like} if file.like else {}), "source": file.source, **file.part}
    held = {"model": as_model(own, file), "points": list(file.raw_points)}
    if kind == "twin triode":
        data = merged(data, {"each_section": held})
    elif kind == "triode-pentode" and file.section not in names:
        return None, (Fault((), "SCH-063", f"a triode-pentode has two sections: say `section: {'t' if file.law == 'triode' else 'p'}`"),)
    else:
        data = merged(data, {"sections": {file.section or "only": held}})
    faults: list[Fault] = []
    whole = merged(load(f"tubes/{file.like}"), data) if file.like else data
    library = Library()
    read_tube(
        file.name, whole, faults, library.base, library.base_names, lambda name: load(f"models/{name}"), user=True, model_name=file.like
    )
    return data, tuple(dict.fromkeys(faults))


def entry_text(file: FitFile, data: Mapping[str, Any], name: str) -> str:
    """The parts file. name: of the file of readings."""
    head = f"{MARK} from {name}; write into that file and fit again.\nhumdinger-parts: 1\n"
    return head + as_yaml({"tubes-library": {file.name: data}})


def fit_text(file: FitFile, own: OwnFit) -> str:
    """Parameters, every number beside what the model makes of it, and how well it came out. `*`: a check, not used by the fit."""
    lines = [f"{file.name}: the {file.law} law through {len(file.readings)} readings and {len(file.points)} points of: {file.source}"]
    fixed = [name for name in own.fit.parameters if name in file.fixed]
    lines.append("  " + "  ".join(f"{name} {value:.5g}{' (fixed)' if name in fixed else ''}" for name, value in own.fit.parameters.items()))
    rows = [("what", "where", "given", "computed", "off")]
    for miss, off in zip(own.fit.misses, own.off_percent, strict=True):
        unit = UNITS.get(miss.what, "A")
        given, computed = (show(Quantity(float(f"{x:.3g}"), unit)) for x in (miss.published, miss.computed))
        rows.append((miss.what + ("" if miss.used else " *"), miss.where, given, computed, f"{off:+.1f} %"))
    widths = [max(len(row[i]) for row in rows) for i in range(5)]
    lines += [
        "  " + "  ".join(x.ljust(w) if i < 2 else x.rjust(w) for i, (x, w) in enumerate(zip(row, widths, strict=True))) for row in rows
    ]
    lines.append(f"  {own.rms_percent:.1f} % rms; percent of the number itself, or of 5 % of the largest of its kind where it is smaller")
    lines.append(f"  covered: {own.covered.text}")
    return "\n".join(lines) + "\n"
