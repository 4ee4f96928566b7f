"""What the player can reach: jacks, knobs, switches and lamps in the order of the signal; and what is set at the bench instead."""

from __future__ import annotations

from ..circuit.netlist import Fuse, Inlet, Jack, Lamp, Netlist, Part, Pot, Speaker, Switch
from ..records import record
from ..units import show_ohms

BENCH_STAGES = ("fixed-bias", "heaters")
"""Stages whose pots are trimmers, set at the bench and left alone (common practice)."""


@record
class Fitting:
    """One thing on a panel. kind: "jack", "knob", "switch", "lamp", "fuse" or "inlet"; name: as it is written beside it."""

    kind: str
    name: str
    ref: str


def player_pots(netlist: Netlist) -> tuple[Pot, ...]:
    """The pots with a knob, in the order of the signal."""
    bench = {stage.id for stage in netlist.stages if stage.kind in BENCH_STAGES}
    order = {control.ref: i for i, control in enumerate(netlist.controls)}
    found = [pot for pot in netlist.of(Pot) if pot.stage not in bench and not pot.gang]
    return tuple(sorted(found, key=lambda pot: order.get(pot.ref, len(order))))


def bench_pots(netlist: Netlist) -> tuple[Pot, ...]:
    """The trimmers inside."""
    players = {pot.ref for pot in player_pots(netlist)}
    return tuple(pot for pot in netlist.of(Pot) if pot.ref not in players and not pot.gang)


def jacks(netlist: Netlist, purpose: str) -> tuple[Jack, ...]:
    """The jacks of one purpose: "input", "send", "return", "footswitch", "speaker", "line-out"."""
    return tuple(jack for jack in netlist.of(Jack) if jack.purpose == purpose)


def switches(netlist: Netlist) -> tuple[Switch, ...]:
    """The switches on the amp itself: standby, then mains. The footswitch is in its pedal."""
    found = [s for s in netlist.of(Switch) if s.where != "footswitch"]
    return tuple(sorted(found, key=lambda s: s.where == "mains"))


def front(netlist: Netlist) -> tuple[Fitting, ...]:
    """Inputs, knobs, the jacks of effects loops, footswitch jack, lamp, switches."""
    return (
        *_named(jacks(netlist, "input"), "jack", "INPUT"),
        *(Fitting("knob", pot.control, pot.ref) for pot in player_pots(netlist)),
        *_named((*jacks(netlist, "send"), *jacks(netlist, "return")), "jack", "EFFECT"),
        *_named(jacks(netlist, "footswitch"), "jack", "FOOTSWITCH"),
        *(Fitting("lamp", lamp.label or "LAMP", lamp.ref) for lamp in netlist.of(Lamp)),
        *_named(switches(netlist), "switch", "SWITCH"),
    )


def back(netlist: Netlist) -> tuple[Fitting, ...]:
    """Speaker jacks, line out, mains fuse, inlet."""
    return (
        *(
            Fitting("jack", f"{name} {ohms}".strip(), jack.ref)
            for jack in jacks(netlist, "speaker")
            for name, ohms in [_speaker(netlist, jack)]
        ),
        *_named(jacks(netlist, "line-out"), "jack", "LINE OUT"),
        *(Fitting("fuse", fuse.ref, fuse.ref) for fuse in netlist.of(Fuse) if fuse.where == "mains"),
        *(Fitting("inlet", "MAINS", inlet.ref) for inlet in netlist.of(Inlet)),
    )


def speaker_ohms(netlist: Netlist) -> float | None:
    """Nominal impedance of the tap the speaker hangs on; None without one."""
    from ..circuit.netlist import OutputTransformer

    for transformer in netlist.of(OutputTransformer):
        for tap in transformer.taps:
            if transformer.net(tap.pin) == netlist.output_net:
                return tap.ohms
    return None


def jack_ohms(netlist: Netlist, jack: Jack) -> float | None:
    """What may be plugged into a speaker jack: the cabinet an extension jack is meant for, else the ohms of the tap."""
    if jack.role != "extension-jack":
        return speaker_ohms(netlist)
    ohms = netlist.stage(jack.stage).facts.get("extension_ohms")
    return ohms if isinstance(ohms, float) else None


def fitted_speakers(netlist: Netlist) -> str:
    """ "8 Ω", "2 of 16 Ω in parallel", "4 of 8 Ω, two rows of two in series"; "" without a speaker."""
    found = list(netlist.of(Speaker))
    if not found:
        return ""
    ohms = show_ohms(found[0].ohms)
    wiring = str(netlist.stage(found[0].stage).facts.get("wiring", ""))
    if len(found) == 1:
        return ohms
    return f"{len(found)} of {ohms}{', two rows of two in series' if wiring == 'series-parallel' else f' in {wiring}'}"


def _speaker(netlist: Netlist, jack: Jack) -> tuple[str, str]:
    ohms = jack_ohms(netlist, jack)
    return jack.label or "SPEAKER", show_ohms(ohms) if ohms else ""


def _named(parts: tuple[Part, ...], kind: str, name: str) -> tuple[Fitting, ...]:
    """Several of one name are numbered."""
    names = [part.label or name for part in parts]
    return tuple(
        Fitting(kind, f"{n} {i + 1}" if names.count(n) > 1 else n, p.ref) for i, (n, p) in enumerate(zip(names, parts, strict=True))
    )
