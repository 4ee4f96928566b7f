"""The stop page: what to do now. One sheet for the wall: short, in letters to be read from a step away, the region's number in front."""

from __future__ import annotations

from ..circuit.netlist import Netlist
from .model import BLANK, Block, Caution, Heading, Items, Link, Page, Row, Strong, Table, t, txt


def stop_page(netlist: Netlist) -> Page:
    """Shock, fire, smoke, a burn, a tube that glows."""
    region = netlist.region
    call = region.emergency_number
    also = tuple(t(note) for note in region.notes if any(word in note for word in ("calls", "call ")))
    blocks: tuple[Block, ...] = (
        Caution(f"Call {call}", (t("Say where you are, who is hurt, and that it was electricity. Stay on the line."), *also)),
        Table("Say on the phone", ("What", "Written here today"), tuple(Row((txt(what), BLANK)) for what in ON_THE_PHONE), anchor="phone"),
        Heading("Shock", "shock"),
        Items(
            (
                t("Do not touch the person. Switch off at the wall or pull the plug; cannot reach either: push away with something dry."),
                t("Call ", Strong(call), "."),
                t("No normal breathing: press hard and fast in the middle of the chest until help takes over. A defibrillator if near."),
                t("Breathing: on the side, and watch. Keep away from the inside of the amp: it stays charged."),
                t("A shock across the chest, a faint, a burn where it went in: hospital, even if the person feels well."),
            ),
            ordered=True,
        ),
        Heading("Fire or smoke", "fire"),
        Items(
            (
                t("Plug out or isolator off first, if you can reach it safely."),
                t("Carbon dioxide or dry powder. Never water on anything that may be live."),
                t("More than a smouldering part: out, door shut, call ", Strong(call), "."),
                t("Keep out of the smoke: selenium, capacitor oil and lagging are poisonous. Air the room from outside."),
            ),
            ordered=True,
        ),
        Heading("Burn", "burn"),
        Items(
            (
                t("Cool running water for 20 minutes, no ice (common practice of first aid). Rings off. No cream."),
                t("Larger than the palm, on the face, or from electricity: call ", Strong(call), "."),
            ),
            ordered=True,
        ),
        Heading("A tube glows red, a part arcs, a loud hum, a bang", "glow"),
        Items(
            (
                t("Switch off, plug out. Pull no tube, lift no clip, open no load with power on."),
                t("Make it dead as ", Link("the safety sheet", "safety", "dead"), " says, waiting time and meter and all."),
                t("A blown fuse: find the cause before a new one. Then begin again at ", Link("Before power", "before-power"), "."),
            ),
            ordered=True,
        ),
    )
    return Page("stop", "Stop page", "Something went wrong: what to do now.", blocks)


ON_THE_PHONE = ("Address, floor, door", "Second person, phone")
"""What is written on the sheet before it goes on the wall."""
