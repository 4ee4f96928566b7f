"""How far the screen of an output tube follows its plate: not at all, with a share of the turns, or whole.

At signal frequencies a screen on a tap at a share x of the turns moves by x of what the plate moves (ideal transformer, standard algebra);
x is 0 in pentode and 1 in triode connection. The volts across the screen stopper are left as at idle.
"""

from __future__ import annotations

import numpy as np

from ..circuit.netlist import Netlist, OutputTransformer, TubeSection
from .devices.softplus import Floats
from .results import Operating, SectionPoint


def screen_share(netlist: Netlist, section: TubeSection) -> float:
    """Share of the plate's signal that the section's screen carries; 0 for what is no output tube."""
    if section.ref not in netlist.power_sections or not section.screen:
        return 0.0
    connection = netlist.stage(section.stage).facts.get("connection")
    if connection == "triode":
        return 1.0
    if connection != "ultralinear":
        return 0.0
    return next((t.screen_tap for t in netlist.of(OutputTransformer) if t.screen_tap is not None), 0.0)


def screen_at(plate_volts: Floats | float, idle_plate: float, idle_screen: float, share: float) -> Floats:
    """Screen volts while the plate stands at those volts, on a screen that follows by the share; never below the cathode."""
    return np.maximum(idle_screen + share * (np.asarray(plate_volts, dtype=float) - idle_plate), 0.0)


def primary_amps(point: SectionPoint, share: float) -> float:
    """Idle amps of the tube that the whole of its primary carries: of a triode-connected one the screen's too."""
    return point.plate_amps + ((point.screen_amps or 0.0) if share == 1.0 else 0.0)


def core_amps(netlist: Netlist, at: Operating) -> float:
    """Direct amps that magnetise a single-ended primary, as through all its turns: plates whole, screens by their share of the turns."""
    sections = [netlist.by_section[ref] for ref in netlist.power_sections]
    points = [(at.sections[s.ref], screen_share(netlist, s)) for s in sections if s.ref in at.sections]
    return sum(point.plate_amps + share * (point.screen_amps or 0.0) for point, share in points)
