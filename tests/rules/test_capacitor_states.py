"""Capacitors are judged in the state that gives them most, and one without a rating is not passed over."""

from __future__ import annotations

import pytest

from humdinger.circuit.netlist import Capacitor
from humdinger.compile import judged
from humdinger.diagnostics import Severity
from support.amps import changed, demo_text
from support.front import PATH, world


def errors(demo: str, path: str, text: str) -> dict[str, str]:
    made = judged(world(changed(demo_text(demo), {path: text})), PATH, propose=False)
    return {d.code: d.message for d in made.diagnostics if d.severity in (Severity.ERROR, Severity.DANGER)}


@pytest.mark.parametrize(
    ("demo", "path", "text", "volts"),
    [
        ("heron", "modulation/injection/through", "33n 50V", "173 V with the tubes in"),  # cold it gets 34 V
        ("curlew", "signal/5/grid_bypass", "100n 25V", "55.9 V with the tubes in"),  # cold both its ends are at ground
    ],
)
def test_a_signal_capacitor_with_more_on_it_when_the_tubes_conduct(demo: str, path: str, text: str, volts: str) -> None:
    assert volts in errors(demo, path, text)["CAP-007"]


def test_a_filter_capacitor_without_a_rating_is_an_error_and_polarised() -> None:
    text = changed(demo_text("dunlin"), {"supply/filter/1/capacitor": "100u"})
    made = judged(world(text), PATH, propose=False)
    assert made.netlist is not None
    part = next(p for p in made.netlist.of(Capacitor) if p.path == "supply/filter/1/capacitor")
    assert part.polarised
    assert [pin.name for pin in part.pins] == ["+", "-"]
    assert "no rated volts" in errors("dunlin", "supply/filter/1/capacitor", "100u")["CAP-001"]
