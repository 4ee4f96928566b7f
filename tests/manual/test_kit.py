"""The kit list against the netlist: counts, values, ratings, bands and codes, on the demos and on random amps."""

from __future__ import annotations

import random
import re
from collections import Counter

import pytest

from humdinger.circuit.netlist import Capacitor, Netlist, Pot, Resistor, Tube
from humdinger.drawing.swatch import PAINT, swatch
from humdinger.manual.consumables import also_blocks
from humdinger.manual.invariants import rows_of
from humdinger.manual.kit import kit_page
from humdinger.manual.model import Cell, Link, Page, Picture, Row, Table
from humdinger.manual.panel import bench_pots, player_pots
from humdinger.rules.resistor_limits import element_volts
from humdinger.units import TAPERS, parse_capacitor, parse_pot, parse_resistor, read_bands, read_capacitor_code
from humdinger.units.colours import DIGIT_COLOURS
from humdinger.units.values import Capacitance, Potentiometer, Resistance
from support.drawn import VARIANTS, variant
from support.manuals import DEMO_NAMES, manual
from support.stress import stressed

RANDOM_AMPS = 30


def netlist_of(name: str) -> Netlist:
    found = manual(name)[0].netlist
    assert found is not None
    return found


def random_amp(number: int) -> Netlist:
    """A circuit of the drawing tests with designators, values and ratings at random."""
    pick = random.Random(f"kit {number}")
    return stressed(variant(pick.choice(sorted((*VARIANTS, "ruff", "pipit", "whimbrel")))), number)[0]


def text(cell: Cell) -> str:
    return "".join(run if isinstance(run, str) else run.text for run in cell.text).strip()


def bags(page: Page) -> dict[str, tuple[Row, list[str], tuple[str, ...]]]:
    """Bag anchor -> its row, the designators it links to, its table's columns."""
    found = {}
    for block in page.blocks:
        if isinstance(block, Table) and block.columns[0] == "Bag":
            for row in block.rows:
                parts = row.cells[block.columns.index("Parts")]
                found[row.anchor] = (row, [run.text for run in parts.text if isinstance(run, Link)], block.columns)
    return found


def check_counts(netlist: Netlist) -> None:
    """Every part in exactly one bag and one place, every count what the bag holds, every link to where the part is."""
    page = kit_page(netlist)
    found = bags(page)
    assert Counter(ref for _, refs, _ in found.values() for ref in refs) == Counter(p.ref for p in netlist.parts)
    for row, refs, _ in found.values():
        assert int(text(row.cells[1]).split()[0]) == len(refs)
    places = {row.anchor.removeprefix("part-"): row for row in rows_of(page) if row.anchor.startswith("part-")}
    assert sorted(places) == sorted(p.ref for p in netlist.parts)
    for ref, row in places.items():
        (link,) = (run for cell in row.cells for run in cell.text if isinstance(run, Link))
        assert ref in found[link.anchor][1]
    assert page.lead.startswith(f"{len(netlist.parts)} parts in {len(found)} bags")


def check_values(netlist: Netlist) -> None:
    """What a row says, read back by the units room, is what every part of it has."""
    for row, refs, columns in bags(kit_page(netlist)).values():
        said = dict(zip(columns, map(text, row.cells), strict=True))
        for ref in refs:
            part = netlist.by_ref[ref]
            if isinstance(part, Resistor):
                check_resistor(part, said, row)
            elif isinstance(part, Capacitor):
                read = parse_capacitor(said["Written"])
                assert isinstance(read, Capacitance)
                assert read.farads == pytest.approx(part.farads)
                assert said["Volts"] == "–" if part.volts is None else float(said["Volts"].split()[0]) in (part.volts, part.volts / 1e3)
                if said["Code"] != "printed":
                    assert read_capacitor_code(said["Code"]) == pytest.approx(part.farads)
                assert said["Kind"].startswith(part.technology.replace("class-", "class "))
            elif isinstance(part, Pot):
                read = parse_pot(said["Value"])
                assert isinstance(read, Potentiometer)
                assert read.ohms == pytest.approx(part.ohms)
                assert said["Taper"].split(",")[0] == part.taper
                assert part.taper in TAPERS
            elif isinstance(part, Tube):
                assert (said["Type"], said["Base"]) == (part.type.name, part.type.base.name)


def check_resistor(part: Resistor, said: dict[str, str], row: Row) -> None:
    read = parse_resistor(said["Value"])
    assert isinstance(read, Resistance)
    assert read.ohms == pytest.approx(part.ohms)
    assert (said["Watts"] == "0.25 W *") == (part.watts is None)
    if part.watts is not None:
        assert float(said["Watts"].split()[0]) == part.watts
    limit = element_volts(part)
    assert limit is not None
    assert float(said["Volts"].split()[0]) == limit[0]
    if part.technology == "wirewound" or (part.watts or 0.0) >= 3.0:
        assert said["Bands"] == "printed"
    if said["Bands"] != "printed":
        colours = said["Bands"].split()
        fine = part.tolerance if part.tolerance is not None else 0.05
        assert read_bands(colours) == (pytest.approx(part.ohms), fine)
        (drawn,) = (run for cell in row.cells for run in cell.text if isinstance(run, Picture))
        painted = re.findall(r'fill="(#[0-9a-f]{6})"', drawn.svg)[1:]
        assert painted == [PAINT[colour] for colour in colours]


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_kit_list_holds_every_part_once_and_as_it_is(name: str) -> None:
    check_counts(netlist_of(name))
    check_values(netlist_of(name))


@pytest.mark.parametrize("number", range(RANDOM_AMPS))
def test_kit_list_of_random_amps_holds_every_part_once_and_as_it_is(number: int) -> None:
    netlist = random_amp(number)
    check_counts(netlist)
    check_values(netlist)


def test_fine_resistors_have_five_bands_and_usual_ones_four() -> None:
    found = {}
    for row, refs, columns in bags(kit_page(netlist_of("heron"))).values():
        for ref in refs:
            found[ref] = dict(zip(columns, map(text, row.cells), strict=True))
    netlist = netlist_of("heron")
    fine = [p for p in netlist.of(Resistor) if p.tolerance == 0.01]
    assert len(fine) == 2  # the test resistors, 1 ohm 1 %
    for part in fine:
        assert found[part.ref]["Bands"] == "brown black black silver brown"
    assert all(len(found[p.ref]["Bands"].split()) in (1, 4) for p in netlist.of(Resistor) if p.tolerance is None)


def test_a_swatch_outlines_each_band_and_sets_the_last_apart() -> None:
    svg = swatch(("yellow", "violet", "brown", "gold"))
    boxes = [(int(x), "stroke" in rest) for x, rest in re.findall(r'<rect x="(\d+)"([^>]*)>', svg)][1:]
    assert len(boxes) == 4
    assert all(outlined for _, outlined in boxes)
    left = [x for x, _ in boxes]
    assert left[3] - left[2] > left[2] - left[1] == left[1] - left[0]
    assert set(DIGIT_COLOURS) <= set(PAINT)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_also_needed_has_a_socket_for_each_tube_and_a_knob_for_each_control(name: str) -> None:
    made = manual(name)[0]
    assert made.design
    assert made.netlist
    assert made.results
    assert made.layout
    tables = {b.anchor: b for b in also_blocks(made.design, made.netlist, made.results, made.layout) if isinstance(b, Table)}
    counted: Counter[str] = Counter()
    for row in tables["also"].rows:
        counted[text(row.cells[1])] += int(text(row.cells[0]))
    tubes = list(made.netlist.of(Tube))
    assert sum(n for what, n in counted.items() if what.endswith("tube socket")) == len(tubes)
    assert counted["knob to fit the shaft, with pointer"] == len(player_pots(made.netlist))
    assert len(player_pots(made.netlist)) + len(bench_pots(made.netlist)) == len(list(made.netlist.of(Pot)))
    assert counted["speaker cable with plug, two cores, unscreened"] == sum(
        j.purpose == "speaker" and j.role != "extension-jack"  # another cabinet brings its own
        for j in jacks(made.netlist)
    )
    turrets = next(n for what, n in counted.items() if what.startswith("turret"))
    assert turrets == sum(len(board.turrets) for board in made.layout.boards)
    assert sum(n for what, n in counted.items() if what.startswith("glass-fibre sheet")) == len(made.layout.boards)
    screened = sum(1 for w in made.layout.wires if w.screened and not w.outside)
    wires = Counter(w.colour for w in made.layout.wires if not w.outside and (w.screened or not w.braid))
    used = {text(r.cells[0]): text(r.cells[1]) for r in tables["used-up"].rows}
    for colour, count in wires.items():
        assert used[f"wire, {colour}"].split()[0] == str(count)
    rings = sum(w.ring for w in made.layout.wires)
    assert used["heat-shrink, black, 3 mm, for rings"].startswith(f"{2 * rings} rings")
    assert ("screened single wire" in used) == (screened > 0)
    assert screened < 2 or used["screened single wire"].startswith(f"{screened} of these rows")


def jacks(netlist: Netlist):
    from humdinger.circuit.netlist import Jack

    return netlist.of(Jack)
