"""The demos elaborate whole: every net joins something or says why not, defaults have reasons, designators follow the signal."""

from __future__ import annotations

import re

import pytest

from humdinger.circuit.netlist import GROUND, Capacitor, Netlist, Resistor
from humdinger.compile import elaborated
from humdinger.source.world import DiskWorld
from support.demos import NAMES
from support.front import ROOT


@pytest.fixture(scope="module", params=NAMES)
def demo(request) -> tuple[Netlist, str]:
    """A demo's netlist and text."""
    path = ROOT / "specs_demo" / request.param / f"{request.param}.amp.yaml"
    made = elaborated(DiskWorld(), str(path))
    assert made.netlist is not None, [d.message for d in made.diagnostics]
    return made.netlist, path.read_text(encoding="utf-8")


def test_every_net_joins_two_terminals_or_says_why_it_ends(demo):
    netlist, _ = demo
    for name, net in netlist.nets.items():
        joined = len(netlist.on_net.get(name, ()))
        assert joined >= 2 or net.open, name
        if net.open:
            assert joined == 1, name


def test_every_pin_is_on_a_known_net(demo):
    netlist, _ = demo
    assert all(pin.net in netlist.nets for part in netlist.parts for pin in part.pins)


def test_designators_and_paths_are_unique(demo):
    netlist, _ = demo
    assert len({p.ref for p in netlist.parts}) == len(netlist.parts)
    paths = [p.path for p in netlist.parts if isinstance(p, Resistor | Capacitor)]
    assert len(set(paths)) == len(paths)


def test_resistors_are_numbered_along_the_signal(demo):
    netlist, _ = demo
    order = []
    for stage in netlist.stages:
        refs = [r for r in stage.parts.values() if re.fullmatch(r"R[0-9]+", r)]
        order += [int(ref[1:]) for ref in refs]
    assert order == sorted(order)
    assert order[0] == 1


def test_stages_come_in_the_order_of_the_signal(demo):
    netlist, text = demo
    ids = re.findall(r"^    id: ([a-z-]+)$", text, re.MULTILINE)
    assert [s.id for s in netlist.stages][: len(ids)] == ids
    assert netlist.stages[len(ids)].id == "output"


def test_values_filled_in_have_a_reason_and_no_others_do(demo):
    netlist, text = demo
    lines = text.split("\n")
    for part in netlist.parts:
        if part.origin.kind == "default":
            assert part.origin.reason, part.ref
        elif isinstance(part, Resistor | Capacitor) and part.span.line == part.span.end_line:
            assert lines[part.span.line - 1][part.span.column - 1 : part.span.end_column - 1].strip(), part.ref
    assert all(d.reason and d.text for d in netlist.defaults)
    assert len({d.path for d in netlist.defaults}) == len(netlist.defaults)


def test_every_stage_knows_its_parts(demo):
    netlist, _ = demo
    for stage in netlist.stages:
        for role, ref in stage.parts.items():
            assert ref in netlist.by_ref, (stage.id, role)
        for port, net in stage.ports.items():
            assert net in netlist.nets or net == GROUND, (stage.id, port)


def test_input_and_output(demo):
    netlist, _ = demo
    assert netlist.input_net == f"{netlist.stages[0].id}.tip"
    assert netlist.output_net == "speaker.hot"


def test_what_each_demo_holds():
    """Counts from the specs by hand: jacks, pots, tube sections in use and parked."""
    held = {}
    for name in NAMES:
        netlist = elaborated(DiskWorld(), str(ROOT / "specs_demo" / name / f"{name}.amp.yaml")).netlist
        assert netlist is not None
        held[name] = (
            len([p for p in netlist.parts if p.ref.startswith("J")]),
            len(netlist.controls),
            len([s for s in netlist.sections if not s.unused]),
            len([s for s in netlist.sections if s.unused]),
        )
    # dunlin: input and mains, the speaker is wired hard; the others have a footswitch and a speaker jack, heron a bias adjustment
    assert held["dunlin"] == (2, 2, 3, 0)
    assert held["curlew"] == (4, 5, 7, 1)
    assert held["heron"] == (4, 6, 8, 0)
