"""Formulas of the two paraphases: the balance of their outputs and the gain of the driven side, beside what the solver finds.

Both sections are taken as alike, at the first one's idle point. K = (µ + 1)·Rk where the cathodes' resistor is not bypassed: with currents
i1 and i2 of opposite sign, i1·(rp + R1 + K) + i2·K = µ·v and i2·(rp + R2 + K) + i1·K = µ·vg2 (standard small-signal algebra).
"""

from __future__ import annotations

from collections.abc import Iterator

from ..circuit.netlist import Netlist, StageInstance
from ..records import record
from .results import Given, Results, Worked
from .worked_inputs import ALGEBRA, capacitor, load_behind, parallel, resistor, sections

WHY = "the solver has each section at its own current, and every capacitor and the rest of the amp in it"
DERIVED = "derived by standard small-signal algebra"


@record
class _Pair:
    """Amplification factor and plate resistance at idle, the loads of both plates at 1 kHz, and K."""

    mu: float
    rp: float
    one: float
    two: float
    k: float
    given: tuple[Given, ...]


def paraphase(netlist: Netlist, results: Results, stage: StageInstance) -> Iterator[Worked]:
    """Balance -vb/va = (R2/R1)·(K + µ·k·R1)/(rp + R2 + K), and what k would make it one."""
    upper, lower = resistor(netlist, stage, "divider-upper"), resistor(netlist, stage, "divider-lower")
    if upper is None or lower is None:
        return
    pair = _pair(netlist, results, stage, {})
    if pair is None:
        return
    share = lower.ohms / (upper.ohms + lower.ohms)
    k = Given("k", share, "x", f"{lower.ref}/({upper.ref} + {lower.ref})")
    ratio = pair.two / pair.one * (pair.k + pair.mu * share * pair.one) / (pair.rp + pair.two + pair.k)
    yield _balance(results, stage, ratio, "(R2/R1)·(K + µ·k·R1)/(rp + R2 + K)", (*pair.given, k))
    yield _gain(results, stage, pair, ratio)
    yield Worked(
        name=f"{stage.id}/divider",
        group="inverter",
        about=stage.id,
        what="share of the divider that would balance the outputs",
        symbol="k",
        formula="(R1·(rp + R2 + K)/R2 − K)/(µ·R1)",
        given=pair.given,
        unit="x",
        closed=(pair.one * (pair.rp + pair.two + pair.k) / pair.two - pair.k) / (pair.mu * pair.one),
        source=DERIVED,
    )


def floating_paraphase(netlist: Netlist, results: Results, stage: StageInstance) -> Iterator[Worked]:
    """Balance -vb/va = (1/Ra + S·B/A)/(1/Rb + S/A) of the see-saw."""
    a, b, leak = (resistor(netlist, stage, f"seesaw-{name}") for name in ("a", "b", "leak"))
    if a is None or b is None or leak is None:
        return
    pair = _pair(netlist, results, stage, {"a": a.ohms, "b": b.ohms})
    if pair is None:
        return
    total = 1.0 / a.ohms + 1.0 / b.ohms + 1.0 / leak.ohms
    below = pair.rp + pair.two + pair.k
    gain, crossed = pair.mu * pair.two / below, pair.two / pair.one * pair.k / below
    ratio = (1.0 / a.ohms + total * crossed / gain) / (1.0 / b.ohms + total / gain)
    given = (
        Given("A", gain, "x", "µ·R2/(rp + R2 + K)"),
        Given("B", crossed, "x", "(R2/R1)·K/(rp + R2 + K)"),
        Given("Ra", a.ohms, "ohm", a.ref),
        Given("Rb", b.ohms, "ohm", b.ref),
        Given("S", total, "S", f"1/{a.ref} + 1/{b.ref} + 1/{leak.ref}"),
    )
    yield _balance(results, stage, ratio, "(1/Ra + S·B/A)/(1/Rb + S/A)", given)
    yield _gain(results, stage, pair, ratio)


def _pair(netlist: Netlist, results: Results, stage: StageInstance, virtual: dict[str, float]) -> _Pair | None:
    """virtual: for each side a resistor from its output to a point that hardly moves, when the load behind the capacitor is not plain."""
    found = sections(netlist, results, stage)
    cathode = resistor(netlist, stage, "cathode-resistor")
    loads = [_load(netlist, results, stage, letter, virtual.get(letter)) for letter in "ab"]
    one, two = loads
    if len(found) != 2 or cathode is None or one is None or two is None:
        return None
    section, point = found[0]
    bypassed = capacitor(netlist, stage, "cathode-bypass") is not None
    k = 0.0 if bypassed else (point.mu + 1.0) * cathode.ohms
    given = (
        Given("µ", point.mu, "x", f"{section.ref} at idle, both taken as alike"),
        Given("rp", point.plate_ohms, "ohm", f"{section.ref} at idle"),
        Given("R1", one[0], "ohm", one[1]),
        Given("R2", two[0], "ohm", two[1]),
        Given("K", k, "ohm", f"{cathode.ref} is bypassed" if bypassed else f"(µ + 1)·{cathode.ref}"),
    )
    return _Pair(point.mu, point.plate_ohms, one[0], two[0], k, given)


def _load(netlist: Netlist, results: Results, stage: StageInstance, letter: str, virtual: float | None) -> tuple[float, str] | None:
    part, behind = resistor(netlist, stage, f"plate-load-{letter}"), load_behind(results, stage.parts.get(f"coupling-{letter}", ""))
    if part is None:
        return None
    if virtual is not None:
        leak = next((p for p in _leaks(netlist, stage, letter)), None)
        if leak is None:
            return parallel(part.ohms, virtual), f"{part.ref} parallel to its resistor of the see-saw"
        return parallel(part.ohms, leak[1], virtual), f"{part.ref} parallel to {leak[0]} and its resistor of the see-saw"
    if behind is None:
        return part.ohms, part.ref
    return parallel(part.ohms, behind), f"{part.ref} parallel to the load behind {stage.parts[f'coupling-{letter}']}"


def _leaks(netlist: Netlist, stage: StageInstance, letter: str) -> Iterator[tuple[str, float]]:
    for part, _ in netlist.on_net.get(stage.ports[f"out-{letter}"], ()):
        if part.role.startswith("grid-leak"):
            ohms = getattr(part, "ohms", None)
            if isinstance(ohms, float):
                yield part.ref, ohms


def _balance(results: Results, stage: StageInstance, ratio: float, formula: str, given: tuple[Given, ...]) -> Worked:
    found = results.inverter
    solved = found.gain_b / found.gain_a if found and found.stage == stage.id else None
    return Worked(
        name=f"{stage.id}/balance",
        group="inverter",
        about=stage.id,
        what="output b over output a",
        symbol="B/A",
        formula=formula,
        given=given,
        unit="x",
        closed=ratio,
        solved=solved,
        why=WHY,
        source=DERIVED,
    )


def _gain(results: Results, stage: StageInstance, pair: _Pair, ratio: float) -> Worked:
    """Of the driven side, whose cathode is held by as much of the other's current as the outputs are alike."""
    found = results.inverter
    against = 1.0 - ratio * pair.one / pair.two
    return Worked(
        name=f"{stage.id}/gain-a",
        group="inverter",
        about=stage.id,
        what="gain to side a",
        symbol="Aa",
        formula="µ·R1/(rp + R1 + K·(1 − b·R1/R2))",
        given=(*pair.given, Given("b", ratio, "x", "output b over output a, as above")),
        unit="x",
        closed=pair.mu * pair.one / (pair.rp + pair.one + pair.k * against),
        solved=found.gain_a if found and found.stage == stage.id else None,
        why=WHY,
        source=ALGEBRA,
    )
