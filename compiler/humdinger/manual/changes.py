"""What changed since another spec, as a page of the manual: the work list for an amp that was built to the older one."""

from __future__ import annotations

import posixpath

from ..circuit.netlist import Netlist
from ..revision.model import Difference, FindingChange, NumberChange, PartChange, WireChange
from . import keys
from .changes_words import changed_words, made_of, number_text, percent_text, rewired_words, state_words, wire_ends
from .describe import describe, job
from .model import BOX, Block, Caution, Cell, Facts, Heading, Link, Page, Paragraph, Row, Table, Text, num, t, txt
from .words import chart_volts

PAGE = "changes"


def changes_page(changes: Difference, netlist: Netlist) -> Page:
    """From which spec to which, then parts, wires, volts, figures, findings. netlist: of the new amp, for links into this manual."""
    pages = _Tables(changes, netlist)
    blocks: list[Block] = [
        Caution(
            "An amp that was built to the older spec is live until it is discharged",
            (t("Unplug it, discharge it and measure, as the ", Link("safety sheet", "safety"), " says, before anything here is changed."),),
        ),
        Facts(tuple(_identity(changes))),
    ]
    if changes.empty:
        blocks.append(Paragraph(t("Nothing changed: parts, wires, volts and findings are the same.")))
    if changes.settings:
        blocks += [Heading("The amp as a whole", "settings"), pages.settings()]
    blocks += [*pages.parts(), *pages.wires(), *pages.volts(), *pages.findings()]
    lead = f"From {_edition(changes.old.name, changes.old.revision)} to {_edition(changes.new.name, changes.new.revision)}: what to change in an amp that exists."
    return Page(PAGE, "What changed", lead, tuple(blocks))


def _edition(name: str, revision: str) -> str:
    return f"{name}, revision {revision}" if revision else name


def _identity(changes: Difference):
    for word, side in (("From", changes.old), ("To", changes.new)):
        dated = f", {side.date}" if side.date else ""
        yield word, t(f"{_edition(side.name, side.revision)}{dated}")
        yield f"{word}: spec", t(f"{posixpath.basename(side.path)}, checksum {side.checksum[:16]}")
    same = f"{changes.same_parts} parts, {changes.same_wires} wires, {changes.same_volts} nets, {changes.same_findings} findings"
    yield "The same in both", t(same)


class _Tables:
    """The tables of the page."""

    def __init__(self, changes: Difference, netlist: Netlist) -> None:
        self.changes = changes
        self.netlist = netlist

    def settings(self) -> Table:
        """What holds for all of it."""
        rows = tuple(Row((txt(s.what), txt(s.old or "–"), txt(s.new or "–"))) for s in self.changes.settings)
        return Table("What holds for the amp as a whole", ("What", "Was", "Is"), rows)

    def parts(self) -> list[Block]:
        """Out, changed, in: the order of the work."""
        by_kind = {kind: [c for c in self.changes.parts if c.kind == kind] for kind in ("gone", "changed", "new")}
        if not self.changes.parts:
            return []
        blocks: list[Block] = [Heading("Parts", "parts")]
        if self.changes.amps[1].layout.boards:
            said = (
                "Where a part stands now, and the links under its board: ",
                Link("boards", "boards"),
                ". A board that grew is laid out anew there.",
            )
            blocks.append(Paragraph(t(*said)))
        if by_kind["gone"]:
            rows = tuple(Row((txt(c.old.ref), txt(describe(c.old)), txt(job(c.old)), BOX)) for c in by_kind["gone"] if c.old)
            blocks.append(Table("Take out", ("Part", "What it is", "What it did", "Done"), rows, anchor="parts-gone"))
        if by_kind["changed"]:
            rows = tuple(self._changed(c) for c in by_kind["changed"])
            blocks.append(Table("Change", ("Part", "Was", "Is", "Done"), rows, anchor="parts-changed"))
        if by_kind["new"]:
            rows = tuple(Row((self._part(c.new.ref), txt(describe(c.new)), txt(job(c.new)), BOX)) for c in by_kind["new"] if c.new)
            blocks.append(Table("Fit", ("Part", "What it is", "What it does", "Done"), rows, anchor="parts-new"))
        return blocks

    def _changed(self, change: PartChange) -> Row:
        assert change.old is not None
        assert change.new is not None
        was, now = changed_words(change)
        if change.rewired:
            nets = rewired_words(change, self.changes)
            was, now = [*was, nets[0]], [*now, nets[1]]
        name: Cell = self._part(change.new.ref)
        if change.renumbered:
            name = Cell((*name.text, f", was {change.old.ref}"))
        return Row((name, txt("; ".join(was)), txt("; ".join(now)), BOX), parts=(change.new.ref,))

    def _part(self, ref: str) -> Cell:
        return txt(Link(ref, "kit", f"part-{ref}"))

    def wires(self) -> list[Block]:
        """Out, changed, in."""
        found = self.changes.wires
        if not found:
            return []
        blocks: list[Block] = [
            Heading("Wires", "wires"),
            Paragraph(
                t(
                    "Numbers of wires and of board terminals count anew when a board grows: the old ones are those of the older manual. A wire "
                    "that goes between the same parts is the same wire."
                )
            ),
        ]
        gone = tuple(self._wire(c, "gone") for c in found if c.kind == "gone")
        changed = tuple(self._wire(c, "changed") for c in found if c.kind == "changed")
        new = tuple(self._wire(c, "new") for c in found if c.kind == "new")
        columns = ("Wire", "Net", "From", "To", "Made of", "Done")
        for rows, caption, anchor in ((gone, "Take out", "gone"), (changed, "Make up otherwise", "changed"), (new, "Lay", "new")):
            if rows:
                blocks.append(Table(caption, columns, rows, anchor=f"wires-{anchor}"))
        return blocks

    def _wire(self, change: WireChange, kind: str) -> Row:
        wire = change.old if kind == "gone" else change.new
        assert wire is not None
        start, end = wire_ends(wire, self.changes.amps[kind != "gone"].netlist)
        number = txt(f"was {wire.number}") if kind == "gone" else txt(Link(str(wire.number), "wiring", f"wire-{wire.number}"))
        said = made_of(wire)
        if change.old is not None and kind == "changed":
            said = f"{said}, was {made_of(change.old)}"
        nets = () if kind == "gone" else (wire.net,)
        return Row((number, txt(wire.net), txt(start), txt(end), txt(said), BOX), nets=nets)

    def volts(self) -> list[Block]:
        """Nets whose volts moved, then the figures."""
        blocks: list[Block] = []
        moved = [c for c in self.changes.volts if c.kind == "changed"]
        came = [c for c in self.changes.volts if c.kind == "new"]
        went = [c for c in self.changes.volts if c.kind == "gone"]
        if self.changes.volts or self.changes.figures:
            blocks.append(Heading("Volts and figures", "volts"))
        if moved or came:
            rows = tuple(self._volts(c) for c in (*moved, *came))
            note = "Direct volts to circuit ground at nominal mains. What moved by less than 1 % is left out: two readings with one meter differ by as much."
            blocks.append(Table("Read these again", ("Net", "Was", "Is", "Change"), rows, note=note, anchor="volts-moved"))
        if went:
            blocks.append(Paragraph(t(f"Nets that are gone: {', '.join(c.what for c in went)}.")))
        if self.changes.figures:
            rows = tuple(self._figure(c) for c in self.changes.figures)
            blocks.append(Table("Figures", ("What", "Was", "Is", "Change"), rows, anchor="figures"))
        return blocks

    def _volts(self, change: NumberChange) -> Row:
        assert change.new is not None
        was = num(chart_volts(change.old)) if change.old is not None else num("new")
        now = num(chart_volts(change.new), keys.node("nominal", change.what))
        return Row((txt(change.what), was, now, num(percent_text(change))), anchor=f"moved-{change.what}", nets=(change.what,))

    def _figure(self, change: NumberChange) -> Row:
        was, now = (num("–") if value is None else num(number_text(value, change.unit)) for value in (change.old, change.new))
        return Row((txt(change.what), was, now, num(percent_text(change))))

    def findings(self) -> list[Block]:
        """The judgements that are not the same."""
        if not self.changes.findings:
            return []
        rows = tuple(self._finding(c) for c in self.changes.findings)
        note = "What stands in this manual, with its numbers: judgement."
        return [
            Heading("Findings", "findings"),
            Table("Findings that came, went or say something else", ("Rule", "Element", "Was", "Is"), rows, note=note),
        ]

    @staticmethod
    def _finding(change: FindingChange) -> Row:
        def said(state: str, message: str) -> Text:
            return t(f"{state_words(state)}: {message}" if message and state in LOUD else state_words(state))

        cells = (
            txt(change.code),
            txt(change.element),
            Cell(said(change.old_state, change.old_message)),
            Cell(said(change.new_state, change.new_message)),
        )
        return Row(cells)


LOUD = ("danger", "error", "warning", "info", "waived", "not evaluated")
