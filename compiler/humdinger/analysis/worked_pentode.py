"""Formulas of the pentode gain stage: its gain with screen and cathode held, and the shelf of the screen's bypass."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..circuit.netlist import Netlist, StageInstance
from .results import Given, Results, Worked
from .worked_inputs import ALGEBRA, OHM, REACTANCE, across, capacitor, gain_of, loaded, parallel, resistor, sections


def pentode_gain(netlist: Netlist, results: Results, stage: StageInstance) -> Iterator[Worked]:
    """Bias, gain and screen corner of one stage. No gain where the cathode is not bypassed as a whole or takes feedback."""
    found = sections(netlist, results, stage)
    plate, screen, cathode = (resistor(netlist, stage, role) for role in ("plate-load", "screen-resistor", "cathode-resistor"))
    held = capacitor(netlist, stage, "screen-bypass")
    if not found or plate is None or screen is None or cathode is None or held is None:
        return
    section, point = found[0]
    group = stage.section or "preamp"
    lower = resistor(netlist, stage, "cathode-unbypassed")
    yield Worked(
        name=f"{stage.id}/bias",
        group=group,
        about=stage.id,
        what="bias across the cathode resistor",
        symbol="Vk",
        formula="Ik·Rk",
        given=(Given("Ik", point.cathode_amps, "A", section.ref), Given("Rk", cathode.ohms, "ohm", cathode.ref)),
        unit="V",
        closed=point.cathode_amps * cathode.ohms,
        solved=across(results, cathode.ref),
        source=OHM,
    )
    fed = any(loop.facts.get("to") == stage.id for loop in netlist.stages_of("feedback"))
    load = loaded(netlist, results, stage, "plate-load", "coupling") or (plate.ohms, plate.ref)
    if capacitor(netlist, stage, "cathode-bypass") and lower is None and not fed:
        yield Worked(
            name=f"{stage.id}/gain",
            group=group,
            about=stage.id,
            what="gain, screen and cathode bypassed",
            symbol="A",
            formula="gm·rp·R/(rp + R)",
            given=(
                Given("gm", point.transconductance, "S", f"{section.ref} at idle"),
                Given("rp", point.plate_ohms, "ohm", f"{section.ref} at idle"),
                Given("R", load[0], "ohm", load[1]),
            ),
            unit="x",
            closed=point.transconductance * parallel(point.plate_ohms, load[0]),
            solved=gain_of(results, stage.id),
            why=REACTANCE,
            source=ALGEBRA,
        )
    yield Worked(
        name=f"{stage.id}/screen",
        group=group,
        about=stage.id,
        what="corner of the screen's bypass with its resistor",
        symbol="f",
        formula="1/(2π·Rs·Cs)",
        given=(Given("Rs", screen.ohms, "ohm", screen.ref), Given("Cs", held.farads, "F", held.ref)),
        unit="Hz",
        closed=1.0 / (2.0 * math.pi * screen.ohms * held.farads),
        source=ALGEBRA + ": the lower end of the shelf; the upper end has the screen's own resistance beside Rs",
    )
