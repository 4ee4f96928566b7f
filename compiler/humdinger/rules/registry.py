"""The list of rules: code -> file. One rule, one file; its docstring is its page. Numbers are never reused."""

from __future__ import annotations

from functools import cache
from importlib import import_module

from .model import Rule

MODULES: dict[str, str] = {
    "BIA-001": "bias.bias_scheme",
    "BIA-002": "bias.cathode_resistor_power",
    "BIA-003": "bias.bias_range",
    "BIA-004": "bias.bias_fail_safe",
    "BIA-005": "bias.bias_before_high_tension",
    "BIA-007": "bias.bias_test_point",
    "BIA-008": "bias.fuse_in_cathode_return",
    "BIA-009": "bias.pair_imbalance",
    "CAP-001": "capacitors.cold_b_plus",
    "CAP-004": "capacitors.reservoir_ripple",
    "CAP-006": "capacitors.cathode_bypass_volts",
    "CAP-007": "capacitors.coupling_capacitor_volts",
    "CAP-008": "capacitors.coupling_leakage",
    "CAP-009": "capacitors.capacitor_polarity",
    "CAP-012": "capacitors.mains_capacitor_class",
    "DIS-001": "discharge.discharge_time",
    "DIS-002": "discharge.bleeder_position",
    "DIS-003": "discharge.bleeder_rating",
    "DIS-004": "discharge.stored_energy",
    "DNR-001": "donor.donor_cord",
    "DNR-002": "donor.donor_line_capacitor",
    "DNR-003": "donor.donor_live_chassis",
    "DNR-004": "donor.donor_selenium",
    "DNR-005": "donor.donor_oil_capacitors",
    "DNR-006": "donor.donor_ceramic_washers",
    "FUS-001": "mains.missing_mains_fuse",
    "FUS-002": "mains.mains_fuse_rating",
    "FUS-003": "mains.fuse_breaking_capacity",
    "FUS-004": "mains.inrush_limiter",
    "FUS-005": "supply.high_tension_fuse",
    "FUS-007": "mains.open_fuse_holder",
    "GAN-001": "gain.input_sensitivity",
    "GAN-002": "gain.input_low_pass",
    "GAN-003": "gain.bass_corner",
    "GAN-005": "gain.plate_rest",
    "HTR-001": "heaters.overloaded_heater_winding",
    "HTR-002": "heaters.heater_volts",
    "HTR-003": "heaters.rectifier_heater",
    "HTR-004": "heaters.heater_reference",
    "HTR-008": "heaters.heaters_in_series",
    "INS-001": "insulation.mains_to_chassis",
    "INS-002": "insulation.mains_to_secondary",
    "INS-003": "insulation.high_tension_to_chassis",
    "JCK-001": "jacks.shorting_input_jack",
    "JCK-004": "jacks.external_contacts",
    "LBL-003": "labels.waiting_time_label",
    "MNS-001": "mains.mains_order",
    "MNS-002": "mains.mains_switch_rating",
    "MNS-003": "mains.two_core_cord",
    "MNS-004": "mains.strain_relief",
    "MNS-006": "mains.line_to_chassis",
    "MNS-008": "mains.inlet_rating",
    "MNS-009": "mains.mains_isolation",
    "NOI-001": "noise.preamp_ripple",
    "OTX-001": "output.output_load",
    "OTX-003": "output.output_transformer_power",
    "OTX-004": "output.single_ended_core",
    "OTX-005": "output.primary_inductance",
    "OTX-006": "output.output_transformer_insulation",
    "OTX-007": "output.copper_loss",
    "OTX-008": "output.secondary_bond",
    "OTX-009": "output.no_load_protection",
    "OTX-012": "output.feedback_factor",
    "PE-001": "earth.earth_stud",
    "PE-002": "earth.earth_bonding",
    "PE-004": "earth.circuit_bond",
    "PIN-001": "inverter.inverter_balance",
    "PIN-002": "inverter.tail_drop",
    "PIN-005": "inverter.cathodyne_stoppers",
    "PSU-001": "supply.high_tension_current",
    "PSU-002": "supply.transformer_load",
    "PSU-003": "supply.b_plus_target",
    "PSU-004": "supply.mains_match",
    "PSU-006": "supply.choke_rating",
    "PSU-008": "supply.discharge_path",
    "REC-001": "rectifier.inverse_peak_volts",
    "REC-002": "rectifier.peak_plate_current",
    "REC-003": "rectifier.switch_on_surge",
    "REC-004": "rectifier.first_capacitor",
    "REC-005": "rectifier.minimum_source_resistance",
    "REC-006": "rectifier.rectifier_output",
    "REC-007": "rectifier.bridge_on_centre_tap",
    "REC-008": "rectifier.centre_tap_return",
    "REC-009": "rectifier.instant_b_plus",
    "REC-010": "rectifier.standby_position",
    "RES-001": "resistors.resistor_power",
    "RES-002": "resistors.resistor_volts",
    "RES-003": "resistors.flameproof_resistors",
    "RES-004": "resistors.screen_stoppers",
    "RES-005": "resistors.grid_stoppers",
    "RES-006": "resistors.pot_power",
    "SPK-001": "speaker.speaker_impedance",
    "SPK-002": "speaker.speaker_power",
    "SPK-007": "speaker.voice_coil_resistance",
    "STB-002": "stability.decoupling_stagger",
    "STB-003": "stability.stages_per_node",
    "TRM-001": "tremolo.oscillator_start",
    "TRM-002": "tremolo.oscillator_rate",
    "TRM-003": "tremolo.oscillator_start_worst",
    "TRM-004": "tremolo.tremolo_depth",
    "TRM-006": "tremolo.cathode_bias_against_tremolo",
    "TRM-008": "tremolo.tremolo_excursion",
    "TRM-013": "tremolo.oscillator_capacitors",
    "TRM-015": "tremolo.optical_cell",
    "TUB-001": "tubes.plate_dissipation",
    "TUB-003": "tubes.screen_dissipation",
    "TUB-005": "tubes.plate_volts",
    "TUB-006": "tubes.cold_plate_volts",
    "TUB-007": "tubes.screen_volts",
    "TUB-008": "tubes.heater_cathode_volts",
    "TUB-009": "tubes.cathode_current",
    "TUB-010": "tubes.grid_leak",
    "TUB-011": "tubes.shared_grid_path",
    "TUB-019": "tubes.coupling_recovery",
    "WIR-002": "wiring.shared_wire_colour",
    "WIR-004": "wiring.colour_collision",
}
"""Rule code -> module below rules/. A meta test compares it with the folders."""

ALIASES: dict[str, str] = {
    "HTR-007": "TUB-008",
    "BIA-010": "TUB-011",
    "BIA-011": "BIA-001",
    "TRM-007": "TUB-011",
    "PIN-004": "TUB-008",
}
"""Merged codes -> the code that says the same."""

HEADS = (
    "What it checks",
    "Why it matters",
    "How it is computed",
    "Limits and sources",
    "Example (bad)",
    "Example (good)",
    "When to waive it",
)
"""The heads of every rule's docstring, in order."""


def load_rule(code: str) -> Rule:
    """The rule of a code. Raises KeyError for a code that is none."""
    module = import_module(f".{MODULES[code]}", __package__)
    area = MODULES[code].split(".")[0]
    aliases = tuple(old for old, new in ALIASES.items() if new == code)
    waits_for, waiting = getattr(module, "WAITS_FOR", ()), getattr(module, "WAITING", "")
    return Rule(code, module.NAME, area, module.__doc__ or "", module.check, aliases, waits_for, waiting)


@cache
def all_rules() -> tuple[Rule, ...]:
    """Every rule, by code."""
    return tuple(load_rule(code) for code in sorted(MODULES))


def resolve_code(word: str) -> str:
    """A rule code, an alias or a rule name -> the code; the word itself when it is none of these."""
    word = word.strip()
    code = ALIASES.get(word.upper(), word.upper())
    if code in MODULES:
        return code
    for rule in all_rules():
        if rule.name == word.lower():
            return rule.code
    return word
