"""What a hand or a cable can touch: the contacts of every jack, at work and with one capacitor shorted.

Normal volts are the worst over the conditions, with nothing plugged in. For the fault every capacitor that ends on the contact's own DC
network is shorted in turn at high mains, every tube in: the volts on the open contact, and the amps into 2 kilohms from it to ground. A pot
whose wiper is the contact stands fully clockwise then.
"""

from __future__ import annotations

from ..circuit.netlist import GROUND, Capacitor, Jack, Netlist, Pot
from ..records import record
from .network import Around, around, component, edges, least_ohms
from .results import ContactFault
from .study import COLD, Study, silencers
from .variants import Change, Variant, moved_wiper, removed, short

BODY_OHMS = 2000.0
FAULT_CONDITION = "high"
PEDAL_OUT = "pedal unplugged"


@record
class Contact:
    """A jack's pin that is not on ground, and the capacitors that end on its DC network."""

    jack: str
    pin: str
    net: str
    capacitors: tuple[str, ...]
    path_ohms: float | None


def contacts(study: Study) -> tuple[Contact, ...]:
    """Every contact of every jack that is not on circuit ground."""
    netlist = study.netlist
    by_net = around(edges(study.elements(COLD), opened=silencers(netlist)))
    stop = {GROUND, *(net for r in netlist.rectifiers for net in (r.plus, r.minus))}
    found = []
    for jack in netlist.of(Jack):
        for pin in jack.pins:
            if pin.net == GROUND or any(c.jack == jack.ref and c.net == pin.net for c in found):
                continue
            path = least_ohms(by_net, pin.net, {GROUND})
            found.append(Contact(jack.ref, pin.name, pin.net, _capacitors(netlist, by_net, pin.net, stop), path[0] if path else None))
    return tuple(found)


def contact_changes(study: Study, found: tuple[Contact, ...]) -> list[tuple[Change, ...]]:
    """For every contact: as it stands with the pedal out, then per capacitor shorted open and into 2 kilohms."""
    netlist, system = study.netlist, study.solved[FAULT_CONDITION].system
    pedal_out = removed(system, *silencers(netlist))
    changes: list[tuple[Change, ...]] = []
    for contact in found:
        changes.append(pedal_out)
        pots = [pot for pot in netlist.of(Pot) if pot.net("wiper") in _resting(netlist, contact.net) and pot.net("ccw") == GROUND]
        up = [change for pot in pots for change in moved_wiper(system, pot, 1.0)]
        for ref in contact.capacitors:
            part = netlist.by_ref[ref]
            shorted = (*pedal_out, *up, short(part.pins[0].net, part.pins[1].net))
            changes += [shorted, (*shorted, short(contact.net, GROUND, BODY_OHMS))]
    return changes


def contact_faults(study: Study, found: tuple[Contact, ...], variants: list[Variant]) -> tuple[ContactFault, ...]:
    """From the variants of `contact_changes`. A fault without a solution is passed over."""
    rows = []
    at = iter(variants)
    for contact in found:
        by_condition = {name: o.volts.get(contact.net, 0.0) for name, o in study.operating.items()}
        alone = next(at)
        if alone.good:
            by_condition[PEDAL_OUT] = alone.volts(contact.net)
        normal = max(by_condition, key=lambda name: abs(by_condition[name]))
        faults = []
        for ref in contact.capacitors:
            opened, loaded = next(at), next(at)
            if opened.good and loaded.good:
                faults.append((ref, opened.volts(contact.net), abs(loaded.volts(contact.net)) / BODY_OHMS))
        worst = max(faults, key=lambda row: (abs(row[1]), row[2]), default=("", by_condition[normal], 0.0))
        condition = FAULT_CONDITION if normal == PEDAL_OUT else normal
        rows.append(
            ContactFault(
                jack=contact.jack,
                contact=contact.pin,
                net=contact.net,
                normal_volts=by_condition[normal],
                normal_condition=condition,
                capacitor=worst[0],
                fault_volts=worst[1],
                fault_amps=worst[2],
                path_ohms=contact.path_ohms,
                blocking=contact.capacitors,
            )
        )
    return tuple(rows)


def _resting(netlist: Netlist, net: str) -> set[str]:
    """A net with those it is one with while nothing is plugged in: a return rests on its send."""
    pairs = [{pin.net for pin in jack.pins if pin.name != "sleeve"} for jack in netlist.of(Jack) if jack.switched]
    return {net}.union(*(pair for pair in pairs if net in pair)) - {GROUND}


def _capacitors(netlist: Netlist, by_net: Around, net: str, stop: set[str]) -> tuple[str, ...]:
    """Capacitors with one end on the DC network of a net and the other off it (and off ground).

    Not one whose other side has nothing but resistors to ground: there is no DC for it to keep off, so neither its short nor its rating can
    matter (derived: a short adds a resistance to ground, no source). A tube's electrode, a rectifier or the end of one more capacitor on
    that side makes it count: of two in series the near one keeps off what the far one lets through when it leaks (common practice).
    """
    inside = _reach(by_net, net, stop) - stop
    tubes = {n for s in netlist.sections for n in (s.plate, s.screen, s.grid, s.cathode)}
    found = []
    for part in netlist.of(Capacitor):
        ends = {pin.net for pin in part.pins}
        away = ends - inside
        if len(away) != 1 or len(ends) != 2 or GROUND in ends:
            continue
        beyond = _reach(by_net, next(iter(away)), stop) - {GROUND}
        others = {pin.net for other in netlist.of(Capacitor) if other is not part for pin in other.pins}
        if beyond & (stop | tubes | others):
            found.append(part.ref)
    return tuple(found)


def _reach(by_net: Around, net: str, stop: set[str]) -> set[str]:
    """The nets that direct current reaches from one, with those it ends at."""
    return {net, *(n for e in component(by_net, [net], stop) for n in (e.a, e.b))}
