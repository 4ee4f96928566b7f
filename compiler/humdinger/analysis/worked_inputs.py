"""Looking up what formulas need: parts of a stage, a section at idle, the load behind a coupling capacitor."""

from __future__ import annotations

from ..circuit.netlist import Capacitor, Netlist, Pot, Resistor, StageInstance, TubeSection
from .results import Given, Results, SectionPoint

ALGEBRA = "standard small-signal algebra"
OHM = "Ohm's law"
CORNER = "1/(2π·R·C), standard algebra"
HANDBOOK = "Radiotron Designer's Handbook ch. 13, from memory"
REACTANCE = "at 1 kHz the solver has every capacitor and the rest of the amp in it"


def resistor(netlist: Netlist, stage: StageInstance, role: str) -> Resistor | None:
    """The resistor of that role, or None."""
    part = netlist.by_ref.get(stage.parts.get(role, ""))
    return part if isinstance(part, Resistor) else None


def capacitor(netlist: Netlist, stage: StageInstance, role: str) -> Capacitor | None:
    """The capacitor of that role, or None."""
    part = netlist.by_ref.get(stage.parts.get(role, ""))
    return part if isinstance(part, Capacitor) else None


def pot(netlist: Netlist, stage: StageInstance, role: str = "pot") -> Pot | None:
    """The pot of that role, or None."""
    part = netlist.by_ref.get(stage.parts.get(role, ""))
    return part if isinstance(part, Pot) else None


def sections(netlist: Netlist, results: Results, stage: StageInstance) -> list[tuple[TubeSection, SectionPoint]]:
    """The sections of a stage with their idle points."""
    found = [(s, results.nominal.sections.get(s.ref)) for s in netlist.sections if s.stage == stage.id and not s.unused]
    return [(s, p) for s, p in found if p is not None]


def parallel(*ohms: float) -> float:
    """Resistances in parallel; one of 0 wins."""
    return 0.0 if any(r <= 0.0 for r in ohms) else 1.0 / sum(1.0 / r for r in ohms)


def load_behind(results: Results, coupling: str) -> float | None:
    """What a coupling capacitor feeds, None where there is no such capacitor."""
    return next((c.load_ohms for c in results.corners if c.capacitor == coupling), None)


def loaded(netlist: Netlist, results: Results, stage: StageInstance, load: str, coupling: str) -> tuple[float, str] | None:
    """A plate load parallel to what its coupling capacitor feeds, and what it is made of."""
    part = resistor(netlist, stage, load)
    if part is None:
        return None
    behind = load_behind(results, stage.parts.get(coupling, ""))
    if behind is None:
        return part.ohms, part.ref
    return parallel(part.ohms, behind), f"{part.ref} parallel to the load behind {stage.parts[coupling]}"


def seen(results: Results, section: str, cathode_ohms: float) -> tuple[float, str] | None:
    """What a plate sees at 1 kHz, the cathode's own share taken off; None where there is no load line."""
    line = next((line for line in results.load_lines if line.section == section), None)
    if line is None or line.ac_ohms <= cathode_ohms:
        return None
    return line.ac_ohms - cathode_ohms, f"what the plate of {section} sees at 1 kHz, solved"


def tube_given(section: TubeSection, point: SectionPoint) -> tuple[Given, Given]:
    """Amplification factor and plate resistance at idle."""
    return Given("µ", point.mu, "x", f"{section.ref} at idle"), Given("rp", point.plate_ohms, "ohm", f"{section.ref} at idle")


def across(results: Results, ref: str) -> float | None:
    """Direct volts across a part, nominal."""
    found = results.nominal.parts.get(ref)
    return abs(found.volts) if found else None


def gain_of(results: Results, stage: str, net: str = "") -> float | None:
    """Solved gain of a stage at 1 kHz, to that net or to its only one."""
    return next((g.gain for g in results.gains if g.stage == stage and net in ("", g.to_net)), None)
