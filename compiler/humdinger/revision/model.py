"""The data of a comparison. kind is "new", "gone" or "changed" everywhere; old and new are None where one side has nothing."""

from __future__ import annotations

from collections.abc import Mapping

from ..analysis.results import Results
from ..circuit.lock import Lock
from ..circuit.netlist import Netlist, Part
from ..diagnostics import Diagnostic
from ..layout import Layout, Wire
from ..records import record
from ..rules.model import Findings
from ..spec.design import Design


@record
class Amp:
    """One of the two: a spec that was solved, judged and laid out."""

    path: str
    checksum: str
    lock: Lock
    design: Design
    netlist: Netlist
    results: Results
    layout: Layout
    findings: Findings
    diagnostics: tuple[Diagnostic, ...]


@record
class Side:
    """What a page says of one of the two."""

    path: str
    name: str
    revision: str
    date: str
    checksum: str


@record
class Setting:
    """Something about the amp as a whole, in words."""

    what: str
    old: str
    new: str


@record
class Rewired:
    """A terminal of a part that is on another net."""

    pin: str
    old_net: str
    new_net: str


@record
class PartChange:
    """A part. values: the fields of it that differ; rewired: its terminals that are on other nets."""

    kind: str
    old: Part | None
    new: Part | None
    values: tuple[str, ...] = ()
    rewired: tuple[Rewired, ...] = ()

    @property
    def renumbered(self) -> bool:
        """Whether the same part has another designator."""
        return self.old is not None and self.new is not None and self.old.ref != self.new.ref


@record
class WireChange:
    """A wire. what: "colour", "size", "screen", "twist" of one that is there in both."""

    kind: str
    old: Wire | None
    new: Wire | None
    what: tuple[str, ...] = ()


@record
class NumberChange:
    """A computed number, SI. what: a net for volts, else words; unit: as units/ shows it."""

    kind: str
    what: str
    old: float | None
    new: float | None
    unit: str = "V"
    label: str = ""

    @property
    def percent(self) -> float | None:
        """Of the old value; None where there is none to compare with."""
        if self.old is None or self.new is None or abs(self.old) < 1e-12:
            return None
        return 100.0 * (self.new - self.old) / abs(self.old)


@record
class FindingChange:
    """A rule's word on an element.

    States: "danger", "error", "warning", "info", "waived", "not evaluated", "passed", "" (no such subject).
    """

    kind: str
    code: str
    element: str
    old_state: str
    new_state: str
    old_message: str
    new_message: str


@record
class Difference:
    """All of it. amps: the two themselves. same_volts: how many nets are in both and moved by no more than
    two readings differ.
    """

    amps: tuple[Amp, Amp]
    old: Side
    new: Side
    settings: tuple[Setting, ...]
    parts: tuple[PartChange, ...]
    wires: tuple[WireChange, ...]
    volts: tuple[NumberChange, ...]
    figures: tuple[NumberChange, ...]
    findings: tuple[FindingChange, ...]
    same_parts: int
    same_wires: int
    same_volts: int
    same_findings: int
    refs: Mapping[str, str]
    """Designator in the old amp -> in the new one, of every part that is in both."""
    notes: tuple[str, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether the two are one amp."""
        return not (self.settings or self.parts or self.wires or self.volts or self.figures or self.findings)
