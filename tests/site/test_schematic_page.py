"""The schematic's pages in a browser without script: pointing, focusing and linking light a part or net in every drawing and in its row."""

from __future__ import annotations

import pytest

from humdinger.circuit.netlist import EARTH, GROUND
from humdinger.drawing.style import attribute
from humdinger.manual.model import Link, Table
from humdinger.manual.schematic import paper_for
from support.browser import folder, opened
from support.manuals import BROWSED, DEMO_NAMES, composed, manual

LIT = """() => [...document.querySelectorAll("[data-parts], [data-nets]")]
  .filter(e => getComputedStyle(e).getPropertyValue("--sch-halo") !== "").map(e => e.id).sort()"""

SHOWN = """id => { const e = document.getElementById(id), hit = e.querySelector(".hit");
  return [getComputedStyle(hit).strokeOpacity, getComputedStyle(e.querySelector("text")).fill]; }"""


def address(name: str, anchor: str = "", page: str = "schematic") -> str:
    return f"{(folder(name) / f'{page}.html').as_uri()}{'#' + anchor if anchor else ''}"


def expected(name: str, net: str) -> list[str]:
    """The groups of a net on all section sheets, and its row."""
    made = manual(name)[0].netlist
    assert made is not None
    html = (folder(name) / "schematic.html").read_text(encoding="utf-8")
    key = attribute(net)
    sheets = [s.split('"')[0] for s in html.split('<svg xmlns="http://www.w3.org/2000/svg" class="sch" id="')[1:]]
    return sorted([f"net-{key}", *(f"{s}-net-{key}" for s in sheets if f'id="{s}-net-{key}"' in html)])


@pytest.mark.parametrize("name", BROWSED)
def test_focusing_a_row_lights_its_net_on_every_sheet(name: str) -> None:
    with opened() as page:
        page.goto(address(name))
        assert page.evaluate(LIT) == []
        for net in ("B1", "B2", GROUND, EARTH):
            page.focus(f"[id='net-{net}'] a")
            assert page.evaluate(LIT) == expected(name, net), net


@pytest.mark.parametrize("name", BROWSED)
def test_hovering_a_net_lights_its_row_and_a_row_its_part(name: str) -> None:
    with opened() as page:
        page.goto(address(name))
        group = next(i for i in expected(name, "B2") if i.startswith("sch-"))
        text = page.locator(f"[id='{group}'] text").first
        text.hover()
        assert page.evaluate(LIT) == expected(name, "B2")
        page.locator("[id='part-R1'] td").nth(1).hover()
        lit = page.evaluate(LIT)
        assert {"part-R1", "sch-preamp-R1"} <= set(lit)
        assert "net-0" not in lit


@pytest.mark.parametrize("name", BROWSED)
def test_a_link_to_a_tube_lights_its_sections_and_its_heater(name: str) -> None:
    with opened() as page:
        page.goto(address(name, "part-V1"))
        lit = {i for i in page.evaluate(LIT) if "net-" not in i}
        assert lit == {"part-V1", "sch-preamp-V1a", "sch-preamp-V1b", "sch-heaters-V1"}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_lit_is_more_than_another_colour(scheme) -> None:
    """A band along wires, a frame around parts, a mark before a row's name."""
    with opened(scheme=scheme) as page:
        page.goto(address("curlew"))
        assert page.evaluate(SHOWN, "sch-preamp-R4")[0] == "0"
        before = page.evaluate(SHOWN, "sch-preamp-R4")[1]
        page.goto(address("curlew", "sch-preamp-R4"))
        frame, ink = page.evaluate(SHOWN, "sch-preamp-R4")
        assert frame == "1"
        assert ink != before
        assert page.evaluate(SHOWN, "sch-preamp-net-first.cathode")[0] == "0.35"
        mark = "() => getComputedStyle(document.querySelector('[id=\"part-R4\"] th'), '::before').content"
        assert page.evaluate(mark).strip('"').strip() == "▸"


@pytest.mark.parametrize("name", BROWSED)
def test_the_wide_sheet_lights_too(name: str) -> None:
    with opened() as page:
        page.goto(address(name, "sch-wide-net-B1", "schematic-wide"))
        assert page.evaluate(LIT) == ["sch-wide-net-B1"]


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_tables_say_all_of_the_netlist(name: str) -> None:
    """A row per part and per net; each part's nets are those of its row's words; volts are those of the results."""
    made = manual(name)[0]
    assert made.netlist is not None
    assert made.results is not None
    page = next(p for p in composed(name).pages if p.name == "schematic")
    parts, nets = (b for b in page.blocks if isinstance(b, Table))
    assert sorted(r.anchor for r in parts.rows) == sorted(f"part-{p.ref}" for p in made.netlist.parts)
    assert sorted(r.anchor for r in nets.rows) == sorted(f"net-{n}" for n in made.netlist.nets)
    for row in parts.rows:
        part = made.netlist.by_ref[row.anchor.removeprefix("part-")]
        assert set(row.nets) == {p.net for p in part.pins} - {GROUND, EARTH}
        said = "; ".join(str(run) for run in row.cells[2].text)
        count = sum(len(piece.partition(": ")[0].split(", ")) for piece in said.split("; "))
        assert count == len(part.pins)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_kit_and_the_chart_lead_to_the_drawing(name: str) -> None:
    made = manual(name)[0].netlist
    assert made is not None
    pages = {p.name: p for p in composed(name).pages}
    for page, prefix in (("kit", "part-"), ("chart", "net-")):
        rows = [r for b in pages[page].blocks if isinstance(b, Table) for r in b.rows if r.anchor.startswith(prefix)]
        assert rows
        for row in rows:
            links = [run for cell in row.cells for run in cell.text if isinstance(run, Link) and run.page == "schematic"]
            assert [link.anchor.startswith("sch-") for link in links] == [True], row.anchor


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_every_drawing_is_a_file_and_the_wide_one_prints_readable(name: str) -> None:
    from humdinger.manual.schematic import draw

    made = manual(name)[0]
    assert made.netlist is not None
    assert made.results is not None
    drawn = draw(made.netlist, made.results, "box")
    files = composed(name).files
    assert {f"drawings/{f.name}.svg" for f in drawn.figures} == {path for path in files if path.startswith("drawings/")}
    paper, (width, height), scale = paper_for(drawn.wide, made.netlist.region.paper)
    assert scale >= 0.8, paper
    assert drawn.wide.width_mm * scale <= width - 14 + 1e-9  # the margins of a sheet that holds a drawing alone
    assert drawn.wide.height_mm * scale <= height - 18.5 + 1e-9
