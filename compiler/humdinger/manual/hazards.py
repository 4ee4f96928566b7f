"""Hazards beside the charge: heat, solder, tools, weight, noise, no load, and what a donor brings with it.

Sources as the safety facts give them: "published" was read as an excerpt; a standard quoted from memory says so; the rest is common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..analysis.results import Results
from ..circuit.netlist import Netlist, Tube
from ..spec.design import Design
from ..units import show_decibels
from . import words
from .model import Block, Facts, Heading, Items, Strong, Text, t

DONOR = {
    "selenium_rectifier": (
        "Selenium rectifier",
        {
            "present": "one is in there. Its smoke is poisonous (published note): never power it, take it out in one piece, wrap it, special waste.",
            "removed": "was taken out. Look for a second one, and clean what it stood on with gloves.",
        },
    ),
    "ceramic_washers": (
        "White ceramic washers",
        {
            "kept": (
                "they stay: beryllium oxide is possible. Its dust destroys lungs (published reference): do not break, file, sand, drill or "
                "prise one; leave device and heatsink together."
            ),
            "removed": (
                "were taken out with their heatsink: beryllium oxide is possible. Did one break? No sweeping, no vacuum: wet cloth, bag, special waste."
            ),
        },
    ),
    "oil_capacitors": (
        "Oil or paper capacitors",
        {
            "present": "PCB oil is possible in those made before 1980 (common practice). Gloves, nothing that drips goes on skin; special waste.",
            "removed": "were taken out. Did one leak? Gloves, wipe, bag, special waste.",
        },
    ),
    "line_to_chassis_capacitor": (
        "Capacitor from mains to chassis",
        {
            "present": "cut it out before anything else: when it shorts, the chassis is live.",
            "removed": "was cut out. See that both its ends are gone.",
        },
    ),
    "cord": (
        "Mains cord",
        {
            "two-core": "it came without earth: the whole cord and its inlet go.",
            "two-core-removed": "the cord without earth is gone; three cores and an earth stud take its place.",
        },
    ),
}
"""Key of the spec's donor block -> name, and what each value means for the hands. A value that is not here is no hazard."""


def hazard_blocks(design: Design, netlist: Netlist, results: Results) -> list[Block]:
    """The donor first, then what every amp has."""
    blocks: list[Block] = [Heading("What the donor brings", "donor"), Facts(tuple(_donor(design)))] if "donor" in design.spec else []
    blocks += [Heading("Other hazards", "other"), Items(tuple(_others(netlist, results)))]
    return blocks


def _donor(design: Design) -> Iterator[tuple[str, Text]]:
    donor = design.spec.block("donor")
    if donor.get("description"):
        yield "Donor", t(str(donor.get("description")))
    clear = []
    for key, (name, meanings) in DONOR.items():
        value = donor.get(key)
        if not isinstance(value, str):
            yield name, t("the spec does not say: look for it before you touch anything")
        elif value in meanings:
            yield name, t(meanings[value])
        elif value == "none":
            clear.append(name.lower())
    if donor.get("series_heaters") is True:
        yield "No mains transformer", t(Strong("its chassis may have been one side of the mains. Nothing of its power side is reused."))
    if clear:
        yield "Looked for, not there", t(", ".join(clear))
    yield (
        "Charge",
        t("a dead amp of transistors holds charge too: its rails are discharged and metered like the table above (common practice)"),
    )
    yield (
        "Lagging",
        t("grey or white cord or board near heat may be asbestos in an old cabinet: do not cut, drill or brush it (common practice)"),
    )


def _others(netlist: Netlist, results: Results) -> Iterator[Text]:
    rectifier = any(tube.type.is_rectifier for tube in netlist.of(Tube))
    hot = "output tubes and rectifier" if rectifier else "output tubes"
    yield t(
        f"Burns: in service small tubes reach 80 to 150 °C, {hot} 150 to 250 °C (handbook, from memory). Glass at 70 °C burns within five "
        "seconds (published note). Wait ten minutes, or use a cloth."
    )
    yield t("Glass: old bulbs are thin. Eye protection whenever a tube is pulled or pushed; wash hands after a broken one.")
    yield t(
        "No load: an output transformer without speaker or load makes kilovolts, in its own winding and at the tube sockets. Never play, never test, "
        "never switch on with the speaker jack empty."
    )
    yield t(
        "Solder: lead is eaten, not breathed: no food at the bench, wash hands. Rosin fume brings asthma (published guidance): extract it at "
        "the tip. Cut leads fly: glasses."
    )
    yield t("Drill and punch: clamp the work, eyes and ears covered, no gloves at a turning drill, deburr every edge a wire passes.")
    yield t(
        "Lifting: weigh the finished amp and write it on the cabinet; the spec gives no mass. Guideline limits are 25 kg for a man and 16 kg for a "
        "woman, close to the body (a standard's filter, from memory)."
    )
    yield _hearing(results)
    yield t(
        "Fire: no lint, paper or covering over the tubes; burn-in only with somebody there, or behind a residual-current device and a smoke alarm."
    )


def _hearing(results: Results) -> Text:
    loud = results.loudness
    if loud is None:
        return t(
            "Hearing: the spec gives no speaker sensitivity. Ten watts into a guitar speaker pass 100 dB at a metre. First sound at volume zero."
        )
    level = show_decibels(words.computed(loud.level_db))
    minutes = words.seconds(loud.seconds_a_day)
    return t(
        "Hearing: all of the clean output gives about ",
        Strong(f"{level} at one metre"),
        f" (speaker sensitivity and power; one speaker in the open). At 85 dB for 8 hours, and half the time for every 3 dB more (published limit), "
        f"that is {minutes} a day without protection. First sound at volume zero, tests on a load.",
    )
