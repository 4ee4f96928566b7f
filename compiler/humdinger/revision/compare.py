"""Two amps -> what changed from the one to the other."""

from __future__ import annotations

from ..circuit.netlist import Pot, PowerTransformer
from ..units import show_hertz, show_volts
from . import findings, numbers, parts, wires
from .model import Amp, Difference, Setting, Side


def difference(old: Amp, new: Amp, notes: tuple[str, ...] = ()) -> Difference:
    """What changed. notes: what a reader should know of how the two were made comparable."""
    refs = parts.matched(old, new)
    part_changes, same_parts = parts.compared(old, new, refs)
    wire_changes, same_wires = wires.compared(old, new, refs)
    volt_changes, same_volts = numbers.volts(old, new)
    finding_changes, same_findings = findings.compared(old, new, refs)
    return Difference(
        amps=(old, new),
        old=_side(old),
        new=_side(new),
        settings=_settings(old, new, refs),
        parts=part_changes,
        wires=wire_changes,
        volts=volt_changes,
        figures=numbers.figures(old, new),
        findings=finding_changes,
        same_parts=same_parts,
        same_wires=same_wires,
        same_volts=same_volts,
        same_findings=same_findings,
        refs=refs,
        notes=notes,
    )


def _side(amp: Amp) -> Side:
    model = amp.design.spec.block("model")
    return Side(amp.path, amp.netlist.name, str(model.get("revision") or ""), str(model.get("date") or ""), amp.checksum)


def _settings(old: Amp, new: Amp, refs: dict[str, str]) -> tuple[Setting, ...]:
    """What holds for the amp as a whole, and where its controls stand."""
    a, b = _words(old), _words(new)
    found = [Setting(what, a.get(what, ""), b.get(what, "")) for what in dict.fromkeys((*b, *a)) if a.get(what, "") != b.get(what, "")]
    ids = [[stage.id for stage in one.netlist.stages] for one in (old, new)]
    if came := [name for name in ids[1] if name not in ids[0]]:
        found.append(Setting("stages that are new", "", ", ".join(came)))
    if went := [name for name in ids[0] if name not in ids[1]]:
        found.append(Setting("stages that are gone", ", ".join(went), ""))
    for before, after in refs.items():
        x, y = old.netlist.by_ref[before], new.netlist.by_ref[after]
        if isinstance(x, Pot) and isinstance(y, Pot):
            if x.control != y.control:
                found.append(Setting(f"name of {after}", x.control, y.control))
            if x.position != y.position:
                found.append(Setting(f"{y.control or after} is solved at", f"{10 * x.position:g}", f"{10 * y.position:g}"))
    return tuple(found)


def _words(amp: Amp) -> dict[str, str]:
    spec, netlist = amp.design.spec, amp.netlist
    model = spec.block("model")
    found = {
        "amp": netlist.name,
        "sold as": str(model.get("sold_as") or ""),
        "market": str(model.get("market") or ""),
        "region": netlist.region.code,
        "mains": f"{show_volts(float(netlist.region.nominal_volts))}, {show_hertz(netlist.mains_hertz)}",
        "bias": netlist.bias_scheme,
        "house wire colours": ", ".join(f"{key} {colour}" for key, colour in sorted(amp.design.wire_colours.items())),
    }
    for transformer in netlist.of(PowerTransformer):
        found["mains tap"] = show_volts(transformer.primary_volts)
    return found
