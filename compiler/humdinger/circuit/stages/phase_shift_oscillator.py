"""Phase-shift oscillator: one triode with a ladder of capacitors and resistors from its plate back to its grid.

What it does: makes the slow wave of the tremolo. The ladder turns the phase by half a cycle at one frequency, the tube by the other half.

When to use it: wherever a spare triode with a gain of 40 or more is at hand.

Topology: plate - C1 - node 1 - C2 - node 2 - C3 - grid (a fourth section alike); a resistor from every node to ground, the last one being
the grid leak. The speed pot stands as a rheostat at the foot of the shunt that `speed_section` counts from the plate: clockwise is less
resistance, faster; its free end is tied to the wiper, so that a lifting wiper leaves the slowest rate, not an open shunt.
The output goes through `coupling` to the intensity pot; its wiper is the port lfo.
Footswitch: a jack whose tip is the oscillator's grid; the pedal's contact to the sleeve, which is ground, stops the oscillation. This
line was chosen for safety: the grid is at 0 V DC with every capacitor of the ladder between it and the plate, so that any one of them may
short without bringing B+ to the jack (the first shorting puts B+ on node 1 only; the others still block), and the last shunt ties the line
to ground. The plate, the cathode bypass and the intensity wiper were not chosen: one short there puts more than 60 V on the cable.

Formulas: equal sections, source resistance Rs = rp parallel Ra, k = Rs/R: f = 1/(2*pi*R*C*sqrt(6 + 4k)), gain needed 29 + 23k + 4k^2;
four equal sections, k = 0: f = 0.8367/(2*pi*R*C), gain 18.39 (checked numerically with the chain matrix; 29 and sqrt(6) are textbook
figures). Unequal sections are solved.

Limits: the gain must be there with an aged tube over the whole pot: a margin of 1.5. One pot gives a range of about 2 to 1. Computed for
a 12AX7 aged to 0.7 gm with 220k and a 1M pot: in the middle shunt 1.9 at the most, in the first shunt 2.2 with a margin of 1.95
(33n, 22n, 15n; 100k, 680k, 820k). Grid leak of the tube; capacitors rated for the cold B+ and tight (film).

Defaults: speed_section 2; panel names SPEED and INTENSITY; no footswitch.
"""

from __future__ import annotations

from ..builder import Fill, Scope
from ..netlist import GROUND, Jack, Pin, Switch

KIND = "phase-shift-oscillator"
SECTION = "tremolo"

SPEED_SECTION = Fill("2", 2, "common practice: the speed control stands in the middle shunt")
NO_FOOTSWITCH = Fill("false", False, "no footswitch jack unless one is asked for")


def elaborate(scope: Scope) -> None:
    """Ports: plate, grid, cathode, supply, level (top of the intensity pot), lfo (its wiper).

    Roles: step-capacitor-1 ..., step-resistor-1 ..., speed, plate-load, cathode-resistor, cathode-bypass, coupling, intensity,
    footswitch-jack, footswitch.
    Facts: section ("V2a"), plate, grid (nets), speed (pot ref), speed_section, ladder ((capacitor, resistor) refs from the plate on),
    intensity (pot ref), footswitch (switch ref or "").
    """
    scope.title = "Tremolo oscillator"
    block, controls = scope.block.block("oscillator"), scope.block.block("controls")
    plate, grid, cathode = (scope.port(name, scope.net(name)) for name in ("plate", "grid", "cathode"))
    supply = scope.port("supply", scope.supply(block=block))
    scope.tube(block.get("tube"), plate=plate, grid=grid, cathode=cathode)
    scope.resistor("plate_load", supply, plate, block=block)
    scope.resistor("cathode_resistor", cathode, GROUND, block=block)
    scope.capacitor("cathode_bypass", cathode, GROUND, block=block)
    ladder = _ladder(scope, plate, grid)
    level = scope.port("level", scope.net("level", label="oscillator, top of the intensity control"))
    scope.capacitor("coupling", plate, level, block=block)
    wiper = scope.port("lfo", scope.net("lfo", label="oscillator, intensity wiper"))
    intensity = controls.block("intensity")
    pot = scope.pot(
        "pot", GROUND, wiper, level, control=scope.control("control", "INTENSITY", intensity), role="intensity", block=intensity
    )
    made = scope.builder.sections[-1] if scope.builder.sections and scope.builder.sections[-1].stage == scope.id else None
    scope.facts.update(section=made.ref if made else "", plate=plate, grid=grid, ladder=ladder, intensity=pot or "")
    scope.facts["footswitch"] = _footswitch(scope, grid)


def _ladder(scope: Scope, plate: str, grid: str) -> tuple[tuple[str, str], ...]:
    """Series capacitors and shunt resistors from the plate to the grid, the speed pot at the foot of one shunt."""
    block = scope.block.block("oscillator")
    capacitors, resistors = block.items("capacitors"), block.items("resistors")
    speed_at, _, span, _ = scope.value("speed_section", SPEED_SECTION, block)
    if len(capacitors) != len(resistors) or not 3 <= len(capacitors) <= 4:
        scope.builder.problem(
            "ELB-023",
            "uneven-ladder",
            f"the oscillator has {len(capacitors)} capacitors and {len(resistors)} resistors",
            block.span_of("resistors"),
            notes=("three or four of each, one resistor to each capacitor",),
        )
        return ()
    if not 1 <= int(speed_at) <= len(resistors):
        scope.builder.problem(
            "ELB-024",
            "no-such-section",
            f"the ladder has {len(resistors)} sections, but the speed pot is to stand in number {speed_at}",
            span,
        )
        speed_at = 2
    scope.facts.update(speed="", speed_section=int(speed_at))
    made: list[tuple[str, str]] = []
    before = plate
    for number, (capacitor, resistor) in enumerate(zip(capacitors, resistors, strict=True), 1):
        node = grid if number == len(capacitors) else scope.net(f"step-{number}")
        series = scope.capacitor("capacitors", before, node, item=capacitor, role=f"step-capacitor-{number}")
        foot = scope.net("speed", label="oscillator, speed control") if number == speed_at else GROUND
        shunt = scope.resistor("resistors", node, foot, item=resistor, role=f"step-resistor-{number}")
        if number == speed_at:
            speed = scope.block.block("controls").block("speed")
            control = scope.control("control", "SPEED", speed)
            scope.facts["speed"] = scope.pot("pot", GROUND, GROUND, foot, control=control, role="speed", block=speed) or ""
        made.append((series or "", shunt or ""))
        before = node
    return tuple(made)


def _footswitch(scope: Scope, grid: str) -> str:
    """The jack and the pedal on it: its contact stands open while the tremolo runs. Returns the switch's ref."""
    wanted, _, span, path = scope.value("footswitch", NO_FOOTSWITCH)
    if wanted is not True:
        return ""
    scope.keep(
        Jack,
        "jack",
        role="footswitch-jack",
        path=path,
        span=span,
        label="FOOTSWITCH",
        pins=(Pin("tip", grid), Pin("sleeve", GROUND)),
        purpose="footswitch",
        switched=False,
    )
    return scope.keep(
        Switch,
        "switch",
        role="footswitch",
        path=f"{path}/pedal",
        span=span,
        label="tremolo pedal",
        note="In the pedal, not in the amp: closed stops the tremolo.",
        pins=(Pin("1a", grid), Pin("1b", GROUND)),
        poles=1,
        where="footswitch",
        closed=False,
    )
