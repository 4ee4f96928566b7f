"""The figures of the demos: what is on them, what the svg says to people, styles and machines."""

from __future__ import annotations

import re
import subprocess
import sys
from functools import cache
from xml.etree import ElementTree as ET

import pytest

from humdinger.drawing.lint import lint
from humdinger.drawing.readback import read_back, units
from humdinger.drawing.schematic import Figure, Schematic, page_lighting, schematic, sheets
from humdinger.drawing.style import DARK, LIGHT, attribute, lighting, plain_svg
from humdinger.site.render import anchor_of
from humdinger.units.format import show_volts
from support.amps import changed, demo, demo_text
from support.demos import NAMES
from support.front import ROOT
from support.signal_amps import netlist_of

DEMOS = NAMES
SVG = "{http://www.w3.org/2000/svg}"


@cache
def figures(name: str, style: str = "zigzag") -> tuple[Figure, ...]:
    return drawings(name, style).sections


@cache
def drawings(name: str, style: str = "zigzag") -> Schematic:
    made = demo(name)
    assert made.netlist is not None
    return schematic(made.netlist, made.results, style)


@cache
def trees(name: str, style: str = "zigzag") -> tuple[ET.Element, ...]:
    return tuple(ET.fromstring(figure.svg) for figure in figures(name, style))


def groups(tree: ET.Element, kind: str) -> list[ET.Element]:
    return [g for g in tree.iter(f"{SVG}g") if g.get("class") == kind]


# -- what is drawn ----------------------------------------------------------------------------------------------------
def test_the_figures_of_an_amp() -> None:
    assert [f.name for f in figures("curlew")] == ["preamp", "inverter", "output", "tremolo", "supply", "heaters"]
    assert [f.name for f in figures("dunlin")] == ["preamp", "output", "supply", "heaters"]
    assert [f.title for f in figures("heron")][1] == "Phase inverter and output stage"
    assert [f.title for f in figures("dunlin")][1] == "Output stage"


@pytest.mark.parametrize("name", DEMOS)
def test_every_part_is_drawn_exactly_once(name: str) -> None:
    netlist = demo(name).netlist
    assert netlist is not None
    assert sorted(ref for figure in figures(name) for ref in figure.parts) == sorted(units(netlist))
    whole = {re.split(r"[:a-z]", unit)[0] for figure in figures(name) for unit in figure.parts}
    assert whole == {part.ref for part in netlist.parts}


@pytest.mark.parametrize("name", DEMOS)
def test_every_net_of_the_amp_is_on_a_figure(name: str) -> None:
    netlist = demo(name).netlist
    assert netlist is not None
    assert {net for figure in figures(name) for net in figure.nets} == set(netlist.nets)


@pytest.mark.parametrize("name", DEMOS)
def test_the_demos_read_back_and_lint_clean_with_their_voltages(name: str) -> None:
    made = demo(name)
    assert made.netlist is not None
    assert made.results is not None
    for volts in ({}, dict(made.results.nominal.volts)):
        sections, wide = sheets(made.netlist, volts)
        assert read_back(made.netlist, sections) == []
        assert read_back(made.netlist, (wide,)) == []
        assert [(sheet.name, fault) for sheet in (*sections, wide) for fault in lint(sheet)] == []


@pytest.mark.parametrize("name", DEMOS)
def test_node_voltages_are_those_of_the_results(name: str) -> None:
    made = demo(name)
    assert made.netlist is not None
    assert made.results is not None
    for stage in made.netlist.stages:
        for port in ("plate", "plate-a", "plate-b"):
            if port not in stage.ports or stage.ports[port] in made.netlist.b_plus:
                continue
            net = stage.ports[port]
            wanted = show_volts(made.results.nominal.volts[net]).replace("-", "−")
            shown = {
                text.text
                for tree in trees(name)
                for group in groups(tree, "net")
                if group.get("data-nets") == net
                for text in group.iter(f"{SVG}text")
                if text.get("class") == "volts"
            }
            assert shown == {wanted}


def test_every_title_strip_says_whose_drawing_it_is_and_which_revision() -> None:
    """On the sections and on the wide sheet, and a long name is cut but not the number of the sheet."""
    netlist = demo("curlew").netlist
    assert netlist is not None
    made = schematic(netlist, imprint=("Saltmarsh Amp Works", "A with --tube V4=EL84 " * 9))
    for number, figure in enumerate(made.sections, 1):
        said = [text.text or "" for text in ET.fromstring(figure.svg).iter(f"{SVG}text")]
        assert said.count("Saltmarsh Amp Works") == 1
        assert any(re.fullmatch(rf"Revision A with .*…\. Sheet {number} of {len(made.sections)}", one) for one in said), said
    assert "Saltmarsh Amp Works" in made.wide.svg
    assert "Revision A with" in made.wide.svg
    sections, wide = sheets(netlist, {}, ("Saltmarsh Amp Works", "A with --tube V4=EL84 " * 9))
    assert [fault for sheet in (*sections, wide) for fault in lint(sheet)] == []


def test_without_results_there_are_no_voltages() -> None:
    netlist = demo("curlew").netlist
    assert netlist is not None
    for figure in schematic(netlist).sections:
        assert 'class="volts"' not in figure.svg
        assert "Voltages" not in figure.svg


def test_flags_say_where_a_net_goes_on_and_agree() -> None:
    """On each sheet a flag names the others its net is on; the numbers are those of the title strips."""
    tree = trees("curlew")
    texts = [{t.text for t in one.iter(f"{SVG}text") if t.get("class") == "flag"} for one in tree]
    assert "second out → 2" in texts[0]
    assert "second out → 1" in texts[1]
    assert "inverter out-a → 3, 4" in texts[1]
    assert "inverter out-a → 2, 4" in texts[2]
    assert "inverter out-a → 2, 3" in texts[3]
    strips = [one.findall(f".//{SVG}g[@class='frame']/{SVG}text")[-1].text for one in tree]
    assert strips == [f"Sheet {i} of 6" for i in range(1, 7)]


# -- the svg ----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("name", DEMOS)
def test_a_figure_names_itself_to_a_screen_reader(name: str) -> None:
    for figure, tree in zip(figures(name), trees(name), strict=True):
        assert tree.get("role") == "img"
        wanted = (tree.get("aria-labelledby") or "").split()
        named = {e.get("id"): e.text for e in tree if e.tag in (f"{SVG}title", f"{SVG}desc")}
        assert list(named) == wanted
        assert figure.title in (named[wanted[0]] or "")
        assert all(ref in (named[wanted[1]] or "") for ref in figure.parts)


@pytest.mark.parametrize("name", DEMOS)
def test_ids_are_unique_over_all_figures_of_a_page(name: str) -> None:
    ids = [e.get("id") for tree in trees(name) for e in tree.iter() if e.get("id")]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("name", DEMOS)
def test_groups_carry_parts_and_nets(name: str) -> None:
    netlist = demo(name).netlist
    assert netlist is not None
    for figure, tree in zip(figures(name), trees(name), strict=True):
        nets = {g.get("data-nets") for g in groups(tree, "net")}
        assert nets == set(figure.nets)
        for group in groups(tree, "part"):
            ref = (group.get("id") or "").removeprefix(f"sch-{figure.name}-")
            part = netlist.by_ref[re.sub(r"[a-z]+$", "", ref)]
            on = set((group.get("data-nets") or "").split())
            assert on
            assert on <= {pin.net for pin in part.pins}
            if ":" not in "".join(u for u in figure.parts if u.startswith(f"{ref}:")) and ref == part.ref and not ref.startswith("V"):
                assert on == {pin.net for pin in part.pins}
            title = group.find(f"{SVG}title")
            assert title is not None
            assert (title.text or "").startswith(ref)


@pytest.mark.parametrize("name", DEMOS)
def test_every_part_and_net_of_a_page_has_its_rule(name: str) -> None:
    """One rule each, and nothing else, however many sheets it is on; a part does not light ground, which is everywhere."""
    sections = figures(name)
    rules = page_lighting(sections)
    chosen = rules.removeprefix("@media screen{").partition("{--sch-ink")[0].split(",main")
    assert len(chosen) == len({g for f in sections for g in f.groups}) + len({n for f in sections for n in f.nets})
    assert 'main:has([data-parts~="R1"]:is(:hover,:focus-within,:target)) [data-parts~="R1"]' in rules
    assert 'main:has([data-nets~="B1"]:is(:hover,:focus-within,:target)) [data-nets="B1"]:not([data-parts])' in rules
    assert 'main:has([data-nets="0"]:not([data-parts]):is(:hover,:focus-within,:target)) [data-nets="0"]:not([data-parts])' in rules
    assert len(rules) < 24_000


@pytest.mark.parametrize("hostile", ['a"]{}x', "</style><script>", "\\22 b", "a,b", "ü b", "]:is(*)", "a\nb", "'"])
def test_a_hostile_name_stays_in_its_rule(hostile: str) -> None:
    """Whatever a net is called, the rule is one selector of plain letters, and the group bears the same word."""
    rules = lighting((), (hostile,), ())
    word = attribute(hostile)
    assert re.fullmatch(r"[\w.:-]+", word)
    assert rules.count("{") == rules.count("}") == 2
    assert rules.startswith(f'@media screen{{main:has([data-nets~="{word}"]:is(')
    assert anchor_of(hostile) == word


@pytest.mark.parametrize("name", DEMOS)
def test_the_wide_sheet_is_the_whole_amp(name: str) -> None:
    """Everything once, no sheet numbers, and as few flags as the sections have or fewer."""
    made = demo(name).netlist
    assert made is not None
    drawn = drawings(name)
    assert sorted(drawn.wide.parts) == sorted(units(made))
    assert set(drawn.wide.nets) == set(made.nets)
    assert "→" not in drawn.wide.svg
    assert drawn.wide.svg.count('class="flag"') < sum(f.svg.count('class="flag"') for f in drawn.sections)


@pytest.mark.parametrize("name", DEMOS)
def test_anchors_lead_to_groups(name: str) -> None:
    made = demo(name).netlist
    assert made is not None
    drawn = drawings(name)
    ids = {e.get("id") for tree in trees(name) for e in tree.iter(f"{SVG}g")}
    for part in made.parts:
        assert {a for _, a in drawn.part_anchors(part.ref)} <= ids
        assert drawn.part_anchors(part.ref)
    for net in made.nets:
        assert {a for _, a in drawn.net_anchors(net)} <= ids
        assert drawn.net_anchors(net)


@pytest.mark.parametrize("name", DEMOS)
def test_dark_comes_before_print_and_print_is_ink_on_white(name: str) -> None:
    for tree in trees(name):
        style = tree.findtext(f"{SVG}style") or ""
        dark, paper = style.index("prefers-color-scheme:dark"), style.index("@media print")
        assert dark < paper
        assert f"--sch-paper:{DARK['paper']}" in style[dark:paper]
        assert f"--sch-paper:{LIGHT['paper']}" in style[paper:]
        assert f"--sch-ink:{LIGHT['ink']}" in style[paper:]


def contrast(a: str, b: str) -> float:
    """WCAG 2.2 contrast ratio of two colours (formula of its definition, from memory)."""

    def luminance(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        r, g, b = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
        return 0.2126 * r + 0.7152 * g + 0.0722 * b

    light, dark = sorted((luminance(a), luminance(b)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("colours", [LIGHT, DARK])
def test_texts_stand_out_from_the_paper(colours: dict[str, str]) -> None:
    """WCAG 2.2 AA: 4.5 to 1 for text this small."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    for name in ("ink", "volt", "hot"):
        assert contrast(colours[name], colours["paper"]) >= 4.5
    assert contrast(colours["ink"], colours["flag"]) >= 4.5


@pytest.mark.parametrize("name", DEMOS)
def test_a_figure_fits_paper_at_true_size(name: str) -> None:
    """277 mm by 190 mm is what A4 landscape leaves inside 10 mm margins; Letter is 259 mm wide but may be scaled."""
    for figure, tree in zip(figures(name), trees(name), strict=True):
        assert figure.width_mm <= 277.0
        assert tree.get("width") == f"{figure.width_mm:.1f}mm"
        left, top, wide, tall = (float(v) for v in (tree.get("viewBox") or "").split())
        assert (left, top) == (0.0, 0.0)
        assert wide / figure.width_mm == pytest.approx(72 / 25.4, rel=1e-3)
        assert tall / figure.height_mm == pytest.approx(72 / 25.4, rel=1e-3)


@pytest.mark.parametrize("name", DEMOS)
def test_a_downloaded_drawing_has_plain_colours(name: str) -> None:
    for figure in drawings(name).figures:
        plain = plain_svg(figure.svg)
        ET.fromstring(plain)
        assert "var(" not in plain
        assert "<style" not in plain
        assert 'class="hit"' not in plain
        assert LIGHT["ink"] in plain


def test_strokes_are_what_a_browser_understands() -> None:
    for name in DEMOS:
        for figure in figures(name):
            assert "stroke-dasharray:-" not in figure.svg
            assert "None" not in figure.svg
            assert "nan" not in figure.svg


# -- styles -----------------------------------------------------------------------------------------------------------
def test_the_style_changes_resistors_and_pots_only() -> None:
    for zigzag, box in zip(trees("heron"), trees("heron", "box"), strict=True):
        for a, b in zip(groups(zigzag, "part"), groups(box, "part"), strict=True):
            ref = (a.get("id") or "").rpartition("-")[2]
            assert (ET.tostring(a) != ET.tostring(b)) == ref.startswith("R"), ref
        nets = zip(groups(zigzag, "net"), groups(box, "net"), strict=True)
        assert all(ET.tostring(a) == ET.tostring(b) for a, b in nets)


def test_texts_of_the_spec_are_escaped() -> None:
    text = changed(demo_text("dunlin"), {"model/name": "Dunlin & <Co> $5"})
    for figure in schematic(netlist_of(text)).sections:
        tree = ET.fromstring(figure.svg)
        shown = [t.text for t in tree.iter(f"{SVG}text")]
        assert f"Dunlin & <Co> $5: {figure.title}" in shown


# -- the machine ------------------------------------------------------------------------------------------------------
DRAW = """
import sys
sys.path[:0] = [{compiler!r}, {tests!r}]
from support.drawn import variant
from humdinger.drawing.schematic import schematic
sys.stdout.write("".join(f.svg for f in schematic(variant("whimbrel")).sections))
"""
LAZY = """
import sys
sys.path.insert(0, {compiler!r})
import humdinger.drawing.schematic
early = [m for m in ("schemdraw", "numpy", "matplotlib") if m in sys.modules]
from humdinger.drawing.schemdraw_loader import load
load()
late = [m for m in ("numpy", "matplotlib") if m in sys.modules]
print(early, late)
"""


def run(code: str, **env: str) -> str:
    code = code.format(compiler=str(ROOT / "compiler"), tests=str(ROOT / "tests"))
    made = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env={"PATH": "", **env})
    return made.stdout


def test_the_same_netlist_gives_the_same_bytes() -> None:
    first, second = (run(DRAW, PYTHONHASHSEED=seed, PYTHONIOENCODING="utf-8") for seed in ("1", "77"))
    assert first == second
    assert first.count("<svg") == 6


def test_schemdraw_comes_late_and_brings_nothing_along() -> None:
    assert run(LAZY).strip() == "[] []"
