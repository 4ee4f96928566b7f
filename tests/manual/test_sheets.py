"""Labels, operating, service and record pages and the cover against netlist, results and spec."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree as ET

import pytest

from humdinger.circuit.netlist import Fuse, Jack, Lamp, Pot, Switch, Tube
from humdinger.compile import Compiled, compiled
from humdinger.drawing.labels_sheet import BAR, GAP, HEIGHT, RIGHT, Label, Line, label_sheets
from humdinger.drawing.paper import LEAST, text_mm
from humdinger.manual.describe import fuse_rating
from humdinger.manual.invariants import rows_of
from humdinger.manual.labels import labels_page
from humdinger.manual.model import FULL_SIZE_MM, Cell, Figure, Page, Table
from humdinger.manual.operating import operating_page
from humdinger.manual.panel import back, front
from humdinger.manual.service import record_page, service_page
from humdinger.units import Quantity
from support.amps import changed, demo_text
from support.front import PATH, world
from support.manuals import DEMO_NAMES, manual, pages


def text(cell: Cell) -> str:
    return "".join(run if isinstance(run, str) else run.text for run in cell.text)


def wait_of(made: Compiled) -> float | None:
    assert made.design
    found = made.design.spec.block("safety").block("warning_label").get("wait")
    return found.value if isinstance(found, Quantity) else None


def labels_of(made: Compiled) -> Page:
    assert made.design
    assert made.netlist
    assert made.results
    return labels_page(made.design, made.netlist, made.results, wait_of(made))


def said(made: Compiled) -> dict[str, str]:
    """Label name -> the texts drawn on it, joined by blanks."""
    found = {}
    for block in labels_of(made).blocks:
        if isinstance(block, Figure):
            for group in ET.fromstring(block.svg).iter("{http://www.w3.org/2000/svg}g"):
                if name := group.get("data-label"):
                    found[name] = " ".join(t.text or "" for t in group.iter("{http://www.w3.org/2000/svg}text"))
    return found


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_labels_say_what_spec_netlist_and_results_say(name: str) -> None:
    made = manual(name)[0]
    assert made.netlist
    assert made.results
    assert made.design
    label = said(made)
    plate = label["rating plate"]
    region, mains = made.netlist.region, made.results.mains
    assert f"{float(region.nominal_volts):g} V AC, {made.netlist.mains_hertz:g} Hz" in plate
    assert mains.full_drive_rms_amps is not None
    driven = max(mains.volt_amps, float(region.nominal_volts) * mains.full_drive_rms_amps)
    volt_amps = int(re.findall(r"(\d+) VA", plate)[0])
    assert driven <= volt_amps < driven + 5
    assert volt_amps % 5 == 0
    assert made.design.shop.get("maker") in plate
    assert made.design.shop.get("address") in plate
    assert "8 Ω, not less" in plate
    for fuse in made.netlist.of(Fuse):
        assert fuse_rating(fuse) in label[f"fuse {fuse.ref}"]
    assert all(fuse_rating(f) in plate for f in made.netlist.of(Fuse) if f.where == "mains")
    wait = wait_of(made)
    assert wait is not None
    highest = max(d.start_volts for d in made.results.discharges if d.kind != "signal")
    for side in ("outside", "inside"):
        assert f"Wait {wait:g} s" in label[f"warning, {side} of the cover"]
    shown = float(re.findall(r"UP TO (\d+) V", label["warning, inside of the cover"])[0])
    assert shown == pytest.approx(highest, rel=6e-3)
    for tube in made.netlist.of(Tube):
        assert f"{tube.ref} {tube.type.name}" in label["tube map"]
    order = re.findall(r"\bV\d+\b", label["tube map"])
    assert order == [tube.ref for tube in made.netlist.of(Tube)]
    speakers = [j for j in made.netlist.of(Jack) if j.purpose == "speaker"]
    assert [n for n in label if n.startswith("speaker ")] == [f"speaker {j.ref}" for j in speakers]
    assert all("LOAD MUST BE CONNECTED" in label[f"speaker {j.ref}"] for j in speakers if j.role != "extension-jack")
    words = " ".join(label.values())
    assert not re.search(r"\b(CE|UKCA|UL|RCM|PSE)\b", words)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_label_sheets_are_of_full_size_and_nothing_overlaps(name: str) -> None:
    figures = [b for b in labels_of(manual(name)[0]).blocks if isinstance(b, Figure)]
    for figure in figures:
        assert figure.true_size
        assert not figure.wide
        assert figure.width_mm <= FULL_SIZE_MM[0]
        assert figure.height_mm <= FULL_SIZE_MM[1] - 12.0  # its heading: nothing else stands above it on its page
        boxes = boxes_of(figure.svg)
        check_apart(boxes)
        assert all(x + w <= figure.width_mm and y + h <= figure.height_mm for x, y, w, h in boxes)


def boxes_of(svg: str) -> list[tuple[float, float, float, float]]:
    found = []
    space = "{http://www.w3.org/2000/svg}"
    for group in ET.fromstring(svg).iter(f"{space}g"):
        x, y = (float(n) for n in re.findall(r"[\d.]+", group.get("transform", "")))
        cut = group.find(f"{space}rect[@class='cut']")
        assert cut is not None
        wide, tall = float(cut.get("width", "")), float(cut.get("height", ""))
        found.append((x, y, wide, tall))
        for line in group.iter(f"{space}text"):
            size, at = float(line.get("font-size", "")), float(line.get("x", ""))
            assert size >= LEAST - 1e-9
            long = text_mm(line.text or "", size, bold=line.get("font-weight") == "bold")
            left = at - long / 2 if line.get("text-anchor") == "middle" else at
            assert left >= -0.01, line.text
            assert left + long <= wide + 0.01, line.text
            assert float(line.get("y", "")) <= tall
    return found


def check_apart(boxes: list[tuple[float, float, float, float]]) -> None:
    for i, (x, y, w, h) in enumerate(boxes):
        for ox, oy, ow, oh in boxes[:i]:
            assert x >= ox + ow + GAP - 0.02 or ox >= x + w + GAP - 0.02 or y >= oy + oh + GAP - 0.02 or oy >= y + h + GAP - 0.02


def test_many_and_long_labels_fill_further_sheets() -> None:
    labels = [Label(f"l{i}", "plate", (Line("word " * (3 + 7 * i)), Line("W" * 200)), 60.0 + i) for i in range(20)]
    labels += [Label(f"k{i}", "knob", (Line("LOUDNESS OF THE WHOLE AMP " * (1 + i % 2)),)) for i in range(9)]
    sheets = label_sheets("Long " * 40, labels)
    assert sorted(n for s in sheets for n in s.labels) == sorted(label.name for label in labels)
    assert len(sheets) > 1
    for made in sheets:
        check_apart(boxes_of(made.svg))
        assert made.height_mm <= HEIGHT + 1.0
        assert all(x + w <= RIGHT + 0.01 for x, _, w, _ in boxes_of(made.svg))


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_operating_sheet_mentions_exactly_the_controls_there_are(name: str) -> None:
    made = manual(name)[0]
    assert made.design
    assert made.netlist
    assert made.results
    page = operating_page(made.design, made.netlist, made.results)
    listed = sorted(row.anchor.removeprefix("control-") for row in rows_of(page) if row.anchor.startswith("control-"))
    bench = {s.id for s in made.netlist.stages if s.kind in ("fixed-bias", "heaters")}
    reach = [p.ref for p in made.netlist.of(Pot) if p.stage not in bench]
    reach += [p.ref for kind in (Jack, Lamp) for p in made.netlist.of(kind)]
    reach += [s.ref for s in made.netlist.of(Switch) if s.where != "footswitch"]
    assert listed == sorted(reach)
    shown = " ".join(text(c) for b in page.blocks if isinstance(b, Table) for row in b.rows for c in row.cells) + repr(page)
    standby = any(s.where == "standby" for s in made.netlist.of(Switch))
    assert ("standby" in shown.casefold()) == standby
    assert ("tremolo" in shown.casefold()) == (made.results.tremolo is not None)
    assert ("footswitch" in shown.casefold()) == any(s.where == "footswitch" for s in made.netlist.of(Switch))
    change = {row.anchor.removeprefix("tube-"): text(row.cells[2]) for row in rows_of(page) if row.anchor.startswith("tube-")}
    power = {made.netlist.by_section[ref].tube for ref in made.netlist.power_sections}
    for ref, words in change.items():
        assert ("must be set again" in words) == (made.netlist.bias_scheme == "fixed" and ref in power)
    drawn = {f.ref for f in (*front(made.netlist), *back(made.netlist)) if f.kind not in ("fuse", "inlet")}
    assert drawn == set(reach)


def test_a_pilot_lamp_is_on_panel_and_operating_sheet() -> None:
    lamp = {"supply/pilot": "{lamp: filament, winding: H1, volts: 6.3 V, current: 150 mA}"}
    made, files = compiled(world(changed(demo_text("curlew"), lamp)), PATH)
    assert files is not None, [d.message for d in made.diagnostics]
    assert "Dark does not mean dead" in files["operating.html"].decode()
    assert "Dark does not mean dead" not in pages("curlew")["operating.html"]
    assert "lamp holder" in files["kit.html"].decode()


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_service_and_record_name_fuses_tubes_checksum_and_idle(name: str) -> None:
    made = manual(name)[0]
    assert made.design
    assert made.netlist
    assert made.results
    assert made.findings
    service = service_page(made.design, made.netlist, made.results, made.findings)
    fuses = [row.anchor.removeprefix("fuse-") for row in rows_of(service) if row.anchor.startswith("fuse-")]
    assert fuses == [f.ref for f in made.netlist.of(Fuse) if f.where != "thermal"]
    record = record_page(made.design, made.netlist, made.results, "c" * 64, "9.9")
    assert "c" * 64 in repr(record)
    assert "Humdinger 9.9" in repr(record)
    fitted = next(b for b in record.blocks if isinstance(b, Table) and b.anchor == "fitted-tubes")
    assert [text(r.cells[0]) for r in fitted.rows] == [t.ref for t in made.netlist.of(Tube)]
    for row in fitted.rows:
        found = [r for r in made.netlist.power_sections if made.netlist.by_section[r].tube == text(row.cells[0])]
        if found:
            amps = made.results.nominal.sections[found[0]].cathode_amps
            assert float(text(row.cells[3]).split()[0]) == pytest.approx(1e3 * amps, rel=6e-3)
        else:
            assert text(row.cells[3]) == "–"


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_cover_has_a_line_for_every_other_page(name: str) -> None:
    cover = pages(name)["index.html"]
    contents = cover.split('id="contents"')[1].split("</ul>")[0]
    linked = re.findall(r'href="([^"#]+)"', contents)
    assert sorted(linked) == sorted(set(pages(name)) - {"index.html"})


MM_PER_POINT = 25.4 / 72


@pytest.mark.parametrize("name", ["dunlin", "curlew"])
def test_scale_bars_print_at_100_mm_on_both_papers(name: str) -> None:
    """Letter and A4: the bars in the PDF the browser prints, as its content stream has them. 0.2 mm is the limit of the design page."""
    import io

    import pypdf

    from support.browser import folder, opened

    with opened() as page:
        page.goto((folder(name) / "labels.html").as_uri())
        data = page.pdf(prefer_css_page_size=True)
    found = []
    sizes = set()
    for sheet in pypdf.PdfReader(io.BytesIO(data)).pages:
        sizes.add((round(float(sheet.mediabox.width) * MM_PER_POINT), round(float(sheet.mediabox.height) * MM_PER_POINT)))
        found += lines_mm(sheet)
    assert sizes == {(216, 279) if name == "dunlin" else (210, 297)}
    level = [w for w, h in found if h < 0.01 and w > 90]
    upright = [h for w, h in found if w < 0.01 and h > 90]
    sheets = pages(name)["labels.html"].count('class="sheet true-size"')
    assert len(level) == len(upright) == sheets
    assert all(math.isclose(long, BAR, abs_tol=0.2) for long in (*level, *upright))


def lines_mm(sheet) -> list[tuple[float, float]]:
    """Width and height in mm of every straight segment a page strokes."""
    found: list[tuple[float, float]] = []
    at = [0.0, 0.0]

    def see(operator, operands, matrix, _text) -> None:
        if operator == b"m":
            at[:] = [float(x) for x in operands]
        elif operator == b"l":
            x, y = (float(v) for v in operands)
            a, b, c, d = (float(v) for v in matrix[:4])
            dx, dy = x - at[0], y - at[1]
            found.append((abs(a * dx + c * dy) * MM_PER_POINT, abs(b * dx + d * dy) * MM_PER_POINT))
            at[:] = [x, y]

    sheet.extract_text(visitor_operand_before=see)
    return found
