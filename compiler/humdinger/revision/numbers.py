"""Volts and the few figures an owner knows an amp by, of the two amps side by side."""

from __future__ import annotations

from ..analysis.probing import READABLE_VOLTS
from ..analysis.results import Results
from ..circuit.netlist import GROUND
from .model import Amp, NumberChange

SHARE = 0.01
"""Volts that moved by less than this are the same: two readings with one meter differ by so much (common practice)."""

FIGURE_SHARE = 0.005
"""Of a computed figure: less does not move the third digit by more than its rounding does."""

DECIBELS = 0.1
"""Of a gain: a hundredth of it, about the same share as volts have."""


def volts(old: Amp, new: Amp) -> tuple[tuple[NumberChange, ...], int]:
    """Direct volts of every net at nominal mains that moved, came or went; and how many did not move."""
    before, after = _readable(old), _readable(new)
    changes: list[NumberChange] = []
    same = 0
    for net in (*after, *(net for net in before if net not in after)):
        a, b = before.get(net), after.get(net)
        label = (new if net in after else old).netlist.nets[net].label
        if a is None or b is None:
            changes.append(NumberChange("new" if a is None else "gone", net, a, b, "V", label))
        elif abs(b - a) > max(SHARE * max(abs(a), abs(b)), READABLE_VOLTS):
            changes.append(NumberChange("changed", net, a, b, "V", label))
        else:
            same += 1
    return tuple(changes), same


def _readable(amp: Amp) -> dict[str, float]:
    found = amp.results.nominal.volts
    return {net: found[net] for net in amp.netlist.nets if net in found and net != GROUND}


def figures(old: Amp, new: Amp) -> tuple[NumberChange, ...]:
    """Output, mains, tubes at idle, gains, stored energy: those that moved, came or went."""
    before, after = _figures(old), _figures(new)
    changes = []
    for what in (*after, *(what for what in before if what not in after)):
        (a, _), (b, unit) = before.get(what, (None, "")), after.get(what, (None, before.get(what, (None, ""))[1]))
        if a is None or b is None:
            changes.append(NumberChange("new" if a is None else "gone", what, a, b, unit))
        elif abs(b - a) > (DECIBELS if unit == "dB" else FIGURE_SHARE * max(abs(a), abs(b))):
            changes.append(NumberChange("changed", what, a, b, unit))
    return tuple(changes)


def _figures(amp: Amp) -> dict[str, tuple[float | None, str]]:
    results: Results = amp.results
    found: dict[str, tuple[float | None, str]] = {}
    if results.speaker_watts is not None:
        found["clean output at the speaker"] = (results.speaker_watts, "W")
    found["from the mains at idle"] = (results.mains.watts, "W")
    found["primary current at idle, rms"] = (results.mains.primary_rms_amps, "A")
    found["stored, tubes cold"] = (results.stored_joules, "J")
    for ref, point in results.nominal.sections.items():
        if point.plate_amps > 1e-6:
            found[f"{ref} plate current"] = (point.plate_amps, "A")
            found[f"{ref} plate dissipation"] = (point.plate_watts, "W")
        if point.screen_watts:
            found[f"{ref} screen dissipation"] = (point.screen_watts, "W")
    for gain in results.gains:
        found[f"gain of {gain.stage} to {gain.to_net}"] = (gain.gain_db, "dB")
    return {what: (value, unit) for what, (value, unit) in found.items() if value is not None}
