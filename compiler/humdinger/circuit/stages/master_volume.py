"""Master volume: a pot behind the preamplifier, or a pot of two tracks on one shaft behind the phase inverter.

What it does: turns the amp down after the stages that colour the sound, so that the preamplifier may be driven at low loudness. Behind the
inverter the inverter itself is driven too, and the output tubes get equal shares of both halves.

When to use it: as the last stage before the phase inverter or before a single output tube; behind the inverter where its own sound is
wanted. Where it stands in `signal` says which of the two it is.

Topology: one track is a divider as in `volume`, its wiper joined to the next stage through `coupling` where there is one. Two tracks: each
half enters at the clockwise end of its track, each wiper feeds one output grid, and both counter-clockwise ends meet where the grid
leaks of the output tubes end: ground with cathode bias, the bias feed with fixed bias. The grid leaks stay, from wiper to that point: a
wiper that lifts leaves its grid biased.

Formulas: share = track fraction f below the wiper; with a grid leak RL on the wiper the lower part is f*R parallel RL, and the inverter
sees (1 - f)*R in series with that, at least RL parallel R fully clockwise (standard algebra). Source resistance R*f*(1 - f) as in `volume`.

Limits: grids of an inverter stand above ground, that of an output tube in fixed bias below it: a wiper that feeds one needs a capacitor.
Two tracks of one pot differ by some decibels at low settings (common practice: 3 dB is good). Inside a feedback loop it takes from the
loop what it takes from the loudness.

Defaults: the panel name MASTER; coupling 22n 400V where such a grid follows, none otherwise.
"""

from __future__ import annotations

from ...units.values import Capacitance
from ..builder import Fill, Scope
from ..netlist import GROUND

KIND = "master-volume"
SECTION = "preamp"

INVERTERS = ("long-tailed-pair", "cathodyne")
COUPLING = Fill("22n 400V", Capacitance(22e-9, 400.0), "the grid that follows does not stand at ground: DC is kept off the track")


def elaborate(scope: Scope) -> None:
    """Ports: in, out, and wiper behind which a capacitor stands; behind an inverter in-a, in-b, out-a, out-b, back. Roles: pot, coupling;
    behind an inverter pot-a, pot-b. The second track is the gang of the first."""
    control = scope.control("control", "MASTER")
    if "out-a" in scope.source:
        _two_tracks(scope, control)
        return
    source = scope.port("in", scope.fed())
    wiper = scope.net("wiper", label=f"{scope.id} wiper")
    coupled = "coupling" in scope.block or _feeds_lifted_grid(scope)
    scope.pot("pot", GROUND, wiper, source, control=control)
    if not coupled:
        scope.port("out", wiper)
        return
    scope.port("wiper", wiper)
    scope.capacitor("coupling", wiper, scope.port("out", scope.net("out")), fill=COUPLING)


def _feeds_lifted_grid(scope: Scope) -> bool:
    """Whether an inverter follows, or an output tube in fixed bias."""
    stages = scope.design.spec.blocks("signal")
    place = next((k for k, block in enumerate(stages) if block.get("id") == scope.id), len(stages))
    after = [block for block in stages[place + 1 : place + 2] if "from" not in block]
    named = [block for block in stages if block.get("from") == scope.id]
    fixed = scope.design.spec.block("bias").get("scheme") == "fixed"
    return any(str(block.get("stage")) in INVERTERS for block in (*after, *named)) or (fixed and place + 1 == len(stages))


def _two_tracks(scope: Scope, control: str) -> None:
    scope.section = "inverter"
    if "coupling" in scope.block:
        scope.builder.problem(
            "ELB-070",
            "coupling-behind-the-inverter",
            f"master volume {scope.id} stands behind the inverter, whose own capacitors block DC: there is nothing to couple",
            scope.block.span_of("coupling"),
            helps=("leave `coupling` out, or put the stage before the inverter",),
        )
    fixed = scope.design.spec.block("bias").get("scheme") == "fixed"
    back = scope.port("back", scope.builder.net("bias.feed", "bias", "bias feed") if fixed else GROUND)
    front = ""
    for letter in "ab":
        source = scope.port(f"in-{letter}", scope.fed(f"out-{letter}"))
        out = scope.port(f"out-{letter}", scope.net(f"out-{letter}", label=f"{scope.id} wiper {letter}"))
        front = scope.pot("pot", back, out, source, control=control, suffix=letter, gang=front) or front
