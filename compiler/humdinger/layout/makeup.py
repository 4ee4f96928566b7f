"""What each wire is made of: size by what it carries, insulation by where its net stands, what it is twisted with.

Least sizes, insulation, assumed lengths: parts/data/wire.yaml. Current and volts: the worst of every state that was solved (loads.py).
A heater pair is of one size from the transformer to the last socket, thick enough for its current and for the volts it may lose.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from ..analysis.results import Results
from ..circuit.heating import series_pairs
from ..circuit.netlist import GROUND, Bond, Diode, Fuse, Jack, Netlist, OutputTransformer, PowerTransformer, Speaker, Tube
from ..parts.wires import WireSize, WireTable, wire_table
from ..records import replace
from ..units.wire import awg_area_mm2, ohm_per_km
from .colouring import carries
from .loads import heater_amps, net_amps, net_volts, output_plate_volts
from .model import HeaterRun, Layout, MakeUp, Terminal, Wire

ALTERNATING = ("mains", "high-tension-ac")


def made_up(layout: Layout, netlist: Netlist, results: Results | None = None) -> Layout:
    """The layout with the make-up of every wire. Without results the least sizes hold, and no current and no volts are known."""
    table = wire_table()
    amps = net_amps(netlist, results) if results else {}
    volts = net_volts(netlist, results) if results else {}
    runs = heater_runs(layout.wires, netlist, heater_amps(results), table) if results else ()
    charging = results.charging_rms_amps if results else None
    bench = _Bench(layout, netlist, table, amps, volts, {run.winding: run for run in runs}, charging)
    wires = tuple(replace(wire, make_up=bench.make_up(wire)) for wire in layout.wires)
    return replace(layout, wires=wires, heater_runs=runs)


# -- heaters --------------------------------------------------------------------------------------------------------
def heater_runs(wires: Iterable[Wire], netlist: Netlist, amps: Mapping[str, float], table: WireTable) -> tuple[HeaterRun, ...]:
    """The pair of each winding, the thinnest that carries its current and loses no more than allowed up to its last socket."""
    made = []
    for part in netlist.of(PowerTransformer):
        for winding in part.windings:
            hops = _passed(
                [w for w in wires if w.pair == winding.name], amps, {ref: p.refs[0] for p in series_pairs(netlist) for ref in p.refs}
            )
            if not hops:
                continue
            limit = table.heater_drop_percent / 100.0 * winding.volts
            size = table.size_for(table.runs["heater"].size, hops[0][1])
            lost = _lost(hops, size, table)
            while lost[-1][1] > limit and size is not table.sizes[-1]:
                size = table.sizes[table.sizes.index(size) + 1]
                lost = _lost(hops, size, table)
            made.append(HeaterRun(winding.name, size.gauge, size.area_mm2, hops[0][1], lost, limit))
    return tuple(made)


def _passed(wires: list[Wire], amps: Mapping[str, float], first: Mapping[str, str]) -> list[tuple[str, float]]:
    """Sockets in the order the pair passes them, each with the amps in the piece of wire that leads to it.

    first: of two heaters in series the one that stands for both; their current is counted once.
    """
    refs = list(dict.fromkeys(w.end.ref for w in wires))
    return [(ref, sum(amps.get(one, 0.0) for one in {first.get(later, later) for later in refs[k:]})) for k, ref in enumerate(refs)]


def _lost(hops: list[tuple[str, float]], size: WireSize, table: WireTable) -> tuple[tuple[str, float], ...]:
    """Volts lost up to each socket, there and back, in the thinner of the two sizes that are bought under one name."""
    ohms_per_mm = ohm_per_km(min(size.area_mm2, awg_area_mm2(size.gauge))) * 1e-6
    made, total = [], 0.0
    for k, (ref, amps) in enumerate(hops):
        total += 2.0 * ohms_per_mm * amps * (table.heater_hop_mm if k else table.heater_first_mm)
        made.append((ref, total))
    return tuple(made)


# -- wire by wire ---------------------------------------------------------------------------------------------------
class _Bench:
    """All that is looked up for each wire."""

    def __init__(
        self,
        layout: Layout,
        netlist: Netlist,
        table: WireTable,
        amps: Mapping[str, float],
        volts: Mapping[str, float],
        runs: Mapping[str, HeaterRun],
        charging: float | None,
    ) -> None:
        self.layout, self.netlist, self.table = layout, netlist, table
        self.amps, self.volts, self.runs, self.charging = amps, volts, runs, charging
        self.first = {ref: pair.refs[0] for pair in series_pairs(netlist) for ref in pair.refs}
        self.leads: dict[Terminal, set[str]] = {}
        for lead, at in layout.joints.items():
            self.leads.setdefault(at, set()).add(lead.ref)
        self.swings = set(output_plate_volts(netlist, {}))
        self.feedback = {ref for stage in netlist.stages_of("feedback") for ref in stage.parts.values()}

    def make_up(self, wire: Wire) -> MakeUp:
        """The make-up of one wire."""
        what = self.carries(wire)
        run = self.table.runs[what]
        amps = self._amps(wire, what)
        size = self.table.size_for(run.size, amps or 0.0, self._least_area(wire, what))
        heater = self.runs.get(wire.pair)
        if heater is not None:
            size = next(s for s in self.table.sizes if s.gauge == heater.gauge)
        volts = self.volts.get(wire.net)
        needed = None if volts is None else self._needed(wire.net, volts)
        return MakeUp(
            carries=what,
            gauge=size.gauge,
            area_mm2=size.area_mm2,
            amps=amps,
            volts=volts,
            needed_volts=needed,
            insulation_volts=self.table.insulation_for(run.volts, needed or 0.0),
            twist=self._twist(wire, what),
            dress=self._dress(wire, what),
        )

    def ends(self, wire: Wire) -> tuple[set[str], set[str]]:
        """Designators at each end: of the tag itself and of the leads that are soldered to it."""
        start, end = ({t.ref} | self.leads.get(t, set()) for t in (wire.start, wire.end))
        return start, end

    def carries(self, wire: Wire) -> str:
        """The row of the table of runs."""
        netlist = self.netlist
        if wire.bond:
            return "bond"
        if wire.pair:
            return "heater"
        parts = [netlist.by_ref[ref] for ref in (wire.start.ref, wire.end.ref) if ref in netlist.by_ref]
        speaker = any(isinstance(p, OutputTransformer | Speaker) or (isinstance(p, Jack) and p.purpose == "speaker") for p in parts)
        if wire.net == GROUND:
            if any(self._charges(p, t.pin) for p in parts for t in (wire.start, wire.end) if t.ref == p.ref):
                return "charging"
            return "speaker" if speaker else "ground"
        if netlist.nets[wire.net].domain == "speaker" and any(ends & self.feedback for ends in self.ends(wire)):
            return "feedback"
        what = carries(netlist, wire.net)
        joint = any(pair.joint == wire.net for pair in series_pairs(netlist))
        return "heater-reference" if what == "heater" and wire.start.ref != wire.end.ref and not joint else what

    def _charges(self, part: object, pin: str) -> bool:
        """Whether a terminal carries the charging current of the reservoir."""
        if isinstance(part, PowerTransformer):
            return any(pin in w.pins for w in part.windings if w.kind == "high-tension")
        return (isinstance(part, Fuse) and part.where == "high-tension") or (isinstance(part, Diode) and part.stage == "rectifier")

    def _amps(self, wire: Wire, what: str) -> float | None:
        if what == "heater":
            return self._heater_amps(wire)
        if what == "charging":
            return self.charging
        if what == "speaker" and wire.net == GROUND:
            return next((self.amps[net] for net, n in self.netlist.nets.items() if n.domain == "speaker" and net in self.amps), None)
        if what in ("grid", "signal", "feedback", "ground"):
            return None
        return self.amps.get(wire.net)

    def _heater_amps(self, wire: Wire) -> float | None:
        run = self.runs.get(wire.pair)
        if run is not None:
            return run.amps
        tube = self.netlist.by_ref.get(wire.end.ref)
        if any(pair.joint == wire.net for pair in series_pairs(self.netlist)) and wire.start.ref != wire.end.ref:
            return self.amps.get(wire.net)
        if not isinstance(tube, Tube) or not self.runs or wire.start.ref != wire.end.ref:
            return None
        # from one pin to the other of the same side: half of a heater whose halves are in parallel
        return max(h.amps for h in tube.type.heaters) / 2.0

    def _least_area(self, wire: Wire, what: str) -> float:
        """Square millimetres: the bond's and what leads to it as the spec says, earth no thinner than line and neutral."""
        if what not in ("bond", "earth"):
            return 0.0
        bonds = [bond.area_mm2 or 0.0 for bond in self.netlist.of(Bond) if bond.ref == wire.bond]
        fuses = [fuse.amps for fuse in self.netlist.of(Fuse) if fuse.where == "mains" and what == "earth"]
        line = self.table.size_for(self.table.runs["mains"].size, max(fuses, default=0.0))
        return max((*bonds, line.area_mm2 if what == "earth" else 0.0))

    def _needed(self, net: str, volts: float) -> float:
        """Rated volts rms: what alternates is compared peak to peak value of the rating, what is direct with the rating itself."""
        alternates = net in self.swings or self.netlist.nets[net].domain in ALTERNATING
        return self.table.margin * (volts / math.sqrt(2.0) if alternates else volts)

    def _twist(self, wire: Wire, what: str) -> int:
        """The wire it is twisted with: the other side of a heater pair, the speaker's return, a return that runs beside the feedback wire.

        Only wires that part nowhere on their way are a pair: both ends of both are at the same two places.
        """
        if wire.outside:
            return 0
        runs_to_board = self._runs_to_board(wire, what)
        for other in self.layout.wires:
            if other.net == wire.net or other.outside:
                continue
            same = (other.start.ref, other.end.ref) == (wire.start.ref, wire.end.ref)
            if wire.pair:
                # the two wires of a pair part at the sockets of two heaters in series
                found = other.pair == wire.pair and self._hop(other) == self._hop(wire)
            elif runs_to_board:
                beside = (other.start.ref, other.end.ref) == (wire.start.ref, wire.end.ref)
                found = beside and other.net == GROUND and self.carries(other) == "speaker"
            elif what == "speaker":
                found = same and self.carries(other) == "speaker" and GROUND in (wire.net, other.net)
            else:
                return 0
            if found:
                return other.number
        return 0

    def _hop(self, wire: Wire) -> tuple[str, str]:
        """From where to where a wire runs; two sockets in series count as one place."""
        return self.first.get(wire.start.ref, wire.start.ref), self.first.get(wire.end.ref, wire.end.ref)

    def _runs_to_board(self, wire: Wire, what: str) -> bool:
        """Whether it takes the feedback from the speaker's side to the board, by itself or on the way to the load resistor."""
        if not self.feedback or what not in ("feedback", "speaker") or wire.net == GROUND:
            return False
        start = self.netlist.by_ref.get(wire.start.ref)
        end = self.netlist.by_ref.get(wire.end.ref)
        return isinstance(start, Jack | OutputTransformer) and not isinstance(end, Jack | OutputTransformer | Speaker)

    def _dress(self, wire: Wire, what: str) -> str:
        """A few words that the notes of its step do not say."""
        parts = [self.netlist.by_ref.get(t.ref) for t in (wire.start, wire.end)]
        if what == "charging":
            return "nothing else on this wire"
        if what == "bond":
            return "one piece, no splice"
        if what == "earth" and not any(isinstance(p, PowerTransformer) for p in parts):
            return "some slack: it must part last"
        if what == "plate" and wire.net in self.swings:
            return "short, square to grid wires"
        if what == "feedback":
            return "away from the input"
        return ""
