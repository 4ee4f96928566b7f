"""The workbench of elaboration: stages put parts, nets and tube sections on it; `finish` makes the frozen netlist.

Designators are given in order of creation, which is signal order; `refs:` of the spec pins a path to a designator, and the lock file
keeps those of earlier compiles.
Every value has an origin: written in the spec, or filled in with a reason (`Fill`), which `humdinger show` prints.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from ..diagnostics import Diagnostic, Help, Label, Severity, Span
from ..records import record
from ..spec.design import BoundTube, Design
from ..spec.model import POISON, Block, Field
from ..units.components import default_capacitor_type, default_resistor_type
from ..units.values import Capacitance, Potentiometer, Resistance, SectionName
from .lock import NO_LOCK, Lock, place_of, places, problem
from .netlist import (
    GROUND,
    Capacitor,
    Control,
    Default,
    Net,
    Origin,
    Part,
    Pin,
    Pot,
    Rectifier,
    Resistor,
    StageInstance,
    TubeSection,
)

LETTERS = {
    "resistor": "R",
    "capacitor": "C",
    "pot": "R",
    "choke": "L",
    "diode": "D",
    "transformer": "T",
    "fuse": "F",
    "switch": "S",
    "jack": "J",
    "inlet": "J",
    "lamp": "DS",
    "speaker": "LS",
    "stud": "E",
    "bond": "W",
    "coupler": "OC",
}
"""Class letters of ASME Y14.44 (from memory): R also for pots, LS loudspeaker, E terminal, W wire, DS lamp. OC is our own
for an optical coupler: U1 would read like a terminal of board U."""


@record
class Fill:
    """A value the compiler fills in when the spec says nothing: as one would have written it, what it means, and why."""

    text: str
    value: Any
    reason: str


PASSED_ON = ("out", "out-a", "out-b", "plate", "cathode")
"""Ports of the stage before that a stage without an output of its own leaves to the next one."""


@dataclass
class Builder:
    """Mutable only while elaboration runs."""

    design: Design
    lock: Lock = NO_LOCK
    parts: list[Part] = field(default_factory=list)
    sections: list[TubeSection] = field(default_factory=list)
    rectifiers: list[Rectifier] = field(default_factory=list)
    nets: dict[str, Net] = field(default_factory=dict)
    stages: list[StageInstance] = field(default_factory=list)
    controls: list[Control] = field(default_factory=list)
    defaults: list[Default] = field(default_factory=list)
    problems: list[Diagnostic] = field(default_factory=list)
    tube_pins: dict[str, dict[str, str]] = field(default_factory=dict)
    """Tube -> pin number -> net; sections and heaters add to it."""
    heater_of: dict[str, str] = field(default_factory=dict)
    """Tube -> name of the heater winding that feeds it."""
    outputs: dict[str, dict[str, str]] = field(default_factory=dict)
    """Stage of the signal -> its ports, for what is fed by name."""
    borrowed: dict[str, list[Span]] = field(default_factory=dict)
    """Net of another stage that a network names -> where it does."""
    promised: set[str] = field(default_factory=set)
    """Those of them that no stage has registered yet."""
    joined: dict[str, str] = field(default_factory=dict)
    """Net -> the net it is one with: ends that meet with no part between. `finish` writes the one name everywhere."""
    given: dict[str, str] = field(default_factory=dict)
    """Place -> designator, of every part that the compiler numbers."""
    _taken: dict[str, int] = field(default_factory=dict)
    _places: dict[str, str] = field(default_factory=dict)
    _pinned: dict[str, str] = field(default_factory=dict)
    _reserved: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.net(GROUND, "ground", "circuit ground")
        for key, found in self.design.spec.block("refs"):
            if isinstance(found.value, str):
                self._pinned[key] = found.value
        self._places = places(self.design.spec)

    # -- nets ---------------------------------------------------------------------------------------------------
    def net(self, name: str, domain: str = "signal", label: str = "", open: str = "") -> str:
        """Registers a net once; the first registration decides its domain and label. open: why it may end in the air."""
        if name not in self.nets or name in self.promised:
            self.promised.discard(name)
            self.nets[name] = Net(name, domain, label or name, open)
        return name

    def borrow(self, name: str, span: Span) -> str:
        """A net of another stage, which may come later: `check_borrowed` of the network kind says so when none did."""
        if name not in self.nets:
            self.nets[name] = Net(name, "signal", name)
            self.promised.add(name)
        self.borrowed.setdefault(name, []).append(span)
        return name

    def join(self, net: str, into: str, span: Span) -> None:
        """Makes two nets one (a centre tap wired straight to ground); the name of `into` stays. One net cannot be two others' end."""
        start, end = self.root(net), self.root(into)
        if start == end:
            return
        if net in self.joined:
            self.problem(
                "NET-003", "shorted-source", f"{net} would tie {start} to {end} with no part between", span, f"{net} is on {start} already"
            )
            return
        self.joined[start] = end

    def root(self, net: str) -> str:
        """The name a net has in the netlist."""
        while net in self.joined:
            net = self.joined[net]
        return net

    # -- parts --------------------------------------------------------------------------------------------------
    def ref(self, kind: str, path: str) -> str:
        """The designator of a part: the pinned one, the one the lock file keeps for its place, or the next that was never given."""
        if path in self._reserved:
            return self._reserved.pop(path)
        place = place_of(path, self._places)
        if place in self.given:  # two parts of one path
            place = f"{place}/{sum(known == place or known.startswith(f'{place}/') for known in self.given) + 1}"
        self.given[place] = found = self._pinned.get(path) or self._kept(kind, place) or self._next(LETTERS[kind])
        return found

    def _kept(self, kind: str, place: str) -> str | None:
        """What the lock file has for a place, unless `refs` has given that number to another part since."""
        found = self.lock.wanted(place)
        if found is None or found in self._pinned.values():
            return None
        if found.rstrip("0123456789") != LETTERS[kind]:
            message = f"the lock file numbers {place} as {found}, but a {kind} stands there"
            self.problems.append(problem("LCK-001", message, self.lock.spans[place], f"not a {LETTERS[kind]}", cure="take the line out"))
            return None
        return found

    def _next(self, letter: str) -> str:
        number = self._taken.get(letter, 0) + 1
        used = {*self._pinned.values(), *self.lock.numbers}
        while f"{letter}{number}" in used:
            number += 1
        self._taken[letter] = number
        return f"{letter}{number}"

    def reserve(self, kind: str, path: str) -> str:
        """The designator a part of a later stage will get, for a stage that must name it before it exists."""
        if path not in self._reserved:
            self._reserved[path] = self.ref(kind, path)
        return self._reserved[path]

    def add(self, part: Part) -> str:
        """Puts a part on the bench and returns its designator. Its nets must be registered."""
        for pin in part.pins:
            if pin.net not in self.nets:
                raise KeyError(f"{part.ref}: net {pin.net} was never registered")
        self.parts.append(part)
        return part.ref

    # -- trouble ------------------------------------------------------------------------------------------------
    def problem(
        self,
        code: str,
        rule: str,
        message: str,
        span: Span,
        label: str = "",
        *,
        notes: tuple[str, ...] = (),
        severity: Severity = Severity.ERROR,
        others: tuple[Label, ...] = (),
        helps: tuple[str, ...] = (),
    ) -> None:
        """Reports a mistake of the spec found while elaborating (ELB codes)."""
        labels = (Label(span, label, True), *others)
        self.problems.append(Diagnostic(code, rule, severity, message, labels, notes, tuple(Help(text) for text in helps)))

    def tube(self, name: str) -> BoundTube | None:
        """The bound tube of that designator."""
        return self.design.tubes.get(name)


@dataclass
class Scope:
    """One stage being elaborated: its block of the spec, its id, and shorthand for putting parts down.

    `kind` and `section` go into the StageInstance; `source` holds the ports of the stage that feeds this one.
    """

    builder: Builder
    block: Block
    id: str
    kind: str
    section: str
    title: str = ""
    source: Mapping[str, str] = field(default_factory=dict)
    ports: dict[str, str] = field(default_factory=dict)
    parts: dict[str, str] = field(default_factory=dict)
    facts: dict[str, object] = field(default_factory=dict)
    span: Span | None = None
    """Where the stage stands, when it is not the line of its block."""

    @property
    def design(self) -> Design:
        return self.builder.design

    def net(self, name: str, domain: str = "signal", label: str = "") -> str:
        """A net of this stage: "first.plate"."""
        return self.builder.net(f"{self.id}.{name}", domain, label or f"{self.id} {name}")

    def port(self, name: str, net: str) -> str:
        """Declares a port; the next stage is fed from "out" (or "out-a", "out-b")."""
        self.ports[name] = net
        return net

    def fed(self, port: str = "out") -> str:
        """The net that feeds this stage. A stage that nothing feeds is reported once and gets a net of its own."""
        if port in self.source:
            return self.source[port]
        split = "out-a" in self.source and port == "out"
        self.builder.problem(
            "ELB-011" if split else "ELB-010",
            "stage-after-inverter" if split else "unfed-stage",
            f"stage {self.id} follows a phase inverter, which has two outputs" if split else f"stage {self.id} is fed by nothing",
            self.block.span,
            notes=("only the output stage can take both outputs of an inverter",)
            if split
            else ("the signal starts at a stage of kind input",),
            helps=("move it before the inverter",)
            if split
            else ("begin `signal` with - {stage: input, id: guitar, grid_leak: 1M, grid_stopper: 33k}, or name a stage in `from`",),
        )
        return self.net("unfed")

    def supply(self, key: str = "supply", block: Block | None = None) -> str:
        """The B+ net a stage names. resolve() has checked that the node exists."""
        name = (block or self.block).get(key)
        return self.builder.net(str(name) if name else "B1", "supply")

    def control(self, key: str, usual: str, block: Block | None = None) -> str:
        """The panel name of a control; the usual one when the spec gives none."""
        return str(self.value(key, Fill(usual, usual, "common practice: the name such a control carries"), block)[0])

    # -- values -------------------------------------------------------------------------------------------------
    def value(self, key: str, fill: Fill | None = None, block: Block | None = None) -> tuple[Any, Origin, Span, str]:
        """A field's value with origin, span and path; the fill when absent; (None, ...) when neither."""
        where = block or self.block
        found = where.field(key)
        path = f"{where.path}/{key}"
        if found is not None and found.value is not None:
            value = None if found.value is POISON else found.value
            return value, Origin("spec"), found.span, found.path
        if fill is None:
            return None, Origin("default"), where.span, path
        if all(known.path != path for known in self.builder.defaults):  # two parts may share one key
            self.builder.defaults.append(Default(path, fill.text, fill.reason))
        return fill.value, Origin("default", fill.reason), where.span, path

    # -- two-terminal parts -------------------------------------------------------------------------------------
    def resistor(
        self,
        key: str,
        net1: str,
        net2: str,
        *,
        role: str = "",
        fill: Fill | None = None,
        block: Block | None = None,
        item: Field | None = None,
        label: str = "",
        suffix: str = "",
    ) -> str | None:
        """A resistor from the spec key (or a list item of it); None when the spec has none and nothing is filled in.

        suffix tells several parts of one key apart, in role ("grid-stopper-a") and path ("output/grid_stopper/a").
        """
        value, origin, span, path = _item(item) if item else self.value(key, fill, block)
        if not isinstance(value, Resistance):
            return None
        path = f"{path}/{suffix}" if suffix else path
        part = Resistor(
            ref=self.builder.ref("resistor", path),
            path=path,
            stage=self.id,
            role=_role(role or key, suffix),
            span=span,
            origin=origin,
            label=label,
            pins=(Pin("1", net1), Pin("2", net2)),
            ohms=value.ohms,
            watts=value.watts,
            volts_max=value.volts,
            tolerance=value.tolerance,
            technology=default_resistor_type(value),
            note=value.part,
        )
        return self._keep(part)

    def capacitor(
        self,
        key: str,
        plus: str,
        minus: str,
        *,
        role: str = "",
        fill: Fill | None = None,
        block: Block | None = None,
        item: Field | None = None,
        label: str = "",
        suffix: str = "",
    ) -> str | None:
        """A capacitor from the spec key; pins "+"/"-" when electrolytic, else "1"/"2" in the same order."""
        value, origin, span, path = _item(item) if item else self.value(key, fill, block)
        if not isinstance(value, Capacitance):
            return None
        path = f"{path}/{suffix}" if suffix else path
        technology = default_capacitor_type(value)
        names = ("+", "-") if technology == "electrolytic" else ("1", "2")
        part = Capacitor(
            ref=self.builder.ref("capacitor", path),
            path=path,
            stage=self.id,
            role=_role(role or key, suffix),
            span=span,
            origin=origin,
            label=label,
            pins=(Pin(names[0], plus), Pin(names[1], minus)),
            farads=value.farads,
            volts=value.volts,
            tolerance=value.tolerance,
            technology=technology,
            ripple_amps=value.ripple_amps,
            note=value.part,
        )
        return self._keep(part)

    def pot(
        self,
        key: str,
        ccw: str,
        wiper: str,
        cw: str,
        *,
        control: str,
        role: str = "",
        block: Block | None = None,
        position: float = 0.5,
        suffix: str = "",
        gang: str = "",
    ) -> str | None:
        """A pot; `control` is its panel name, its default position comes from `controls:` of the spec (0 to 10).

        gang: the designator of the track in front, when this is a further track on its shaft.
        """
        value, origin, span, path = self.value(key, None, block)
        if not isinstance(value, Potentiometer):
            return None
        set_to = self.design.spec.block("controls").get(control)
        if isinstance(set_to, int | float):
            position = float(set_to) / 10.0
        path = f"{path}/{suffix}" if suffix else path
        part = Pot(
            ref=self.builder.ref("pot", path),
            path=path,
            stage=self.id,
            role=_role(role or key, suffix),
            span=span,
            origin=origin,
            label=control,
            pins=(Pin("ccw", ccw), Pin("wiper", wiper), Pin("cw", cw)),
            ohms=value.ohms,
            taper=value.taper,
            control=control,
            position=position,
            watts=value.watts,
            note=value.part,
            gang=gang,
        )
        if not gang:
            self.builder.controls.append(Control(control, part.ref, position))
        return self._keep(part)

    def keep(self, make: Callable[..., Part], kind: str, /, *, role: str, path: str, span: Span, **rest: Any) -> str:
        """Any other part: `scope.keep(Fuse, "fuse", role="mains-fuse", path=..., span=..., pins=..., amps=...)`."""
        part = make(ref=self.builder.ref(kind, path), path=path, stage=self.id, role=role, span=span, **rest)
        return self._keep(part)

    # -- tubes --------------------------------------------------------------------------------------------------
    def tube(
        self, name: SectionName | None, *, plate: str, grid: str, cathode: str, screen: str = "", unused: bool = False
    ) -> TubeSection | None:
        """Puts a tube section in the circuit, its electrodes on the tube's pins; a suppressor with a pin of its own goes to the cathode."""
        if name is None or (bound := self.builder.tube(name.tube)) is None:
            return None
        section = bound.type.section(name.section)
        if section is None:
            return None
        wanted = "pentode" if screen else "triode"
        if not unused and section.kind != wanted:
            self.builder.problem(
                "ELB-020",
                "wrong-kind-of-section",
                f"stage {self.id} needs a {wanted} section, but {name.tube}{name.section} of {bound.type.name} is a {section.kind}",
                self.block.span,
            )
            return None
        nets = {"plate": plate, "grid": grid, "cathode": cathode, "screen": screen, "suppressor": cathode}
        pins = self.builder.tube_pins.setdefault(name.tube, {})
        for electrode, numbers in section.pins.items():
            if nets.get(electrode):
                for number in numbers:
                    pins[str(number)] = nets[electrode]
        found = TubeSection(
            ref=f"{name.tube}{name.section}",
            tube=name.tube,
            stage=self.id,
            section=section,
            plate=plate,
            grid=grid,
            cathode=cathode,
            screen=screen,
            suppressor=cathode if "suppressor" in section.pins else "",
            unused=unused,
        )
        self.builder.sections.append(found)
        return found

    def cathode_return(self) -> str:
        """Where a stage's cathode resistor ends: ground, or the feedback node when `feedback.to` names this stage."""
        if self.design.spec.block("feedback").get("to") == self.id:
            return self.net("feedback")
        return GROUND

    def finish(self) -> StageInstance:
        """Freezes the stage."""
        made = StageInstance(
            self.id,
            self.kind,
            self.span or self.block.span,
            dict(self.ports),
            dict(self.parts),
            self.title or self.id,
            self.section,
            self.facts,
        )
        self.builder.stages.append(made)
        return made

    def _keep(self, part: Part) -> str:
        self.parts[part.role] = part.ref
        return self.builder.add(part)


def _item(item: Field) -> tuple[Any, Origin, Span, str]:
    return item.value, Origin("spec"), item.span, item.path


def _role(key: str, suffix: str) -> str:
    base = key.replace("_", "-")
    return f"{base}-{suffix}" if suffix else base
