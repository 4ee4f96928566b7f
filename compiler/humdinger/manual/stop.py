"""The stop page: what to do now. Short, large enough to read in a hurry, the region's numbers in front."""

from __future__ import annotations

from ..circuit.netlist import Netlist
from .model import BOX, Block, Caution, Heading, Items, Link, Page, Row, Strong, Table, t, txt


def stop_page(netlist: Netlist) -> Page:
    """Shock, fire, smoke, a burn, a tube that glows."""
    region = netlist.region
    call = region.emergency_number
    also = tuple(t(note) for note in region.notes if any(word in note for word in ("calls", "call ")))
    blocks: tuple[Block, ...] = (
        Caution(f"Call {call}", (t("Say where you are, what happened, and that it was electricity. Stay on the line."), *also)),
        Heading("Shock", "shock"),
        Items(
            (
                t("Do not touch the person. Switch off at the wall or pull the plug; cannot reach either: push away with something dry."),
                t("Call ", Strong(call), "."),
                t(
                    "No normal breathing: chest compressions, hard and fast in the middle of the chest, until help takes over. A defibrillator if near."
                ),
                t("Breathing: on the side, and watch. The amp stays hot with charge: keep away from its inside."),
                t("After a shock across the chest, a faint, or a burn where it went in: hospital, even if the person feels well."),
            ),
            ordered=True,
        ),
        Heading("Fire or smoke", "fire"),
        Items(
            (
                t("Plug out or isolator off first, if you can reach it safely."),
                t("Carbon dioxide or dry powder. Never water on anything that may be live."),
                t("More than a smouldering part: out, door shut, call ", Strong(call), "."),
                t("Do not breathe the smoke of old parts: selenium, capacitor oil and lagging are poisonous. Air the room from outside."),
            ),
            ordered=True,
        ),
        Heading("Burn", "burn"),
        Items(
            (
                t("Cool running water for 20 minutes, not ice (common practice of first aid). Rings off. No cream."),
                t("Larger than the palm, on the face, or from electricity: call ", Strong(call), "."),
            ),
            ordered=True,
        ),
        Heading("A tube glows red, a part arcs, a loud hum, a bang", "glow"),
        Items(
            (
                t("Switch off at the bench switch, plug out. Pull no tube, lift no clip, open no load with power on."),
                t("Make it dead as ", Link("the safety sheet", "safety", "dead"), " says, waiting time and meter and all."),
                t("A fuse that blew tells the truth: find the cause before a new one of the same rating goes in."),
                t("Then start again at ", Link("before power", "before-power"), "."),
            ),
            ordered=True,
        ),
        Table(
            "Kept at the bench",
            ("What", "There"),
            tuple(
                Row((txt(what), BOX))
                for what in (
                    "extinguisher for electrical fires",
                    "first-aid kit",
                    "phone within reach",
                    "isolator marked, and shown to the second person",
                    "dry stick or board, to push somebody away",
                )
            ),
        ),
    )
    return Page("stop", "Stop page", "Something went wrong: what to do now.", blocks)
