"""Small-signal behaviour around an operating point: transfer, gain per stage, poles.

Y = G + Bt (slopes) A at the operating point, (Y + jw Dt Γ D) x = source, one stacked complex solve for all frequencies.
A source with SOURCE_OHMS stands at the input net whenever the input is driven or the poles are asked for: a plug is in. Rectifiers
take part with their averaged conductance, which holds below the mains frequency.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..circuit.netlist import GROUND, Netlist, StageInstance
from ..circuit.polarity import channel_input
from ..records import record
from .devices.softplus import Floats
from .operating import Solved, solve_system
from .results import Condition, Operating, Response, StageGain
from .system import System, build_system, with_omega

Complexes = NDArray[np.complexfloating[Any, Any]]

SOURCE_OHMS = 1.0
"""Of the signal source at the input jack."""
GAIN_HERTZ = 1000.0
HERTZ = tuple(20.0 * 10.0 ** (k / 10.0) for k in range(31))
"""31 points, 20 Hz to 20 kHz, ten a decade."""
FASTEST_SECONDS = 1e-12
"""Time constants below this are round-off of the eigenvalue solution."""


@record(slots=False)
class SmallSignal:
    """A linearised amp. Y (n, n) siemens with the source resistance at the input; C (n, n) the part that goes with jw."""

    solved: Solved
    Y: Floats
    C: Floats

    @property
    def system(self) -> System:
        """The system it was linearised from."""
        return self.solved.system

    @property
    def netlist(self) -> Netlist:
        """The netlist behind it."""
        return self.solved.system.netlist

    def transfer(self, from_net: str, to_nets: Sequence[str], hertz: Sequence[float] | Floats) -> Complexes:
        """Volts at `to_nets` per volt at `from_net`, (frequencies, nets).

        From the input net: per volt of the source behind SOURCE_OHMS. From any other net: per volt on that net, the net being forced.
        Raises KeyError for a net that is not solved, ValueError for circuit ground as the source.
        """
        if from_net == GROUND:
            raise ValueError("circuit ground cannot be driven")
        start = self.system.index[from_net]
        side = np.zeros(self.system.size)
        side[start] = 1.0 / SOURCE_OHMS
        x = self.response(side, hertz)
        found = np.zeros((len(x), len(to_nets)), dtype=complex)
        for k, net in enumerate(to_nets):
            if net != GROUND:
                found[:, k] = x[:, self.system.index[net]]
        return found if from_net == self.netlist.input_net else found / x[:, start][:, None]

    def response(self, side: Floats | Complexes, hertz: Sequence[float] | Floats) -> Complexes:
        """All unknowns for a right-hand side (n,), one row per frequency: (frequencies, n)."""
        omega = 2.0 * np.pi * np.asarray(hertz, dtype=float)
        return np.linalg.solve(with_omega(self.Y, self.C, omega), np.broadcast_to(side, (len(omega), len(side)))[..., None])[..., 0]

    def poles(self) -> tuple[complex, ...]:
        """Natural frequencies in 1/s, rightmost first. A pair right of the axis oscillates."""
        d, gamma = self.system.D, self.system.Gamma
        times = np.linalg.eigvals(-d @ np.linalg.solve(self.Y, d.T) @ gamma)
        found = 1.0 / times[np.abs(times) > FASTEST_SECONDS]
        return tuple(complex(p) for p in sorted(found, key=lambda p: (-p.real, p.imag)))


def linearise(solved: Solved) -> SmallSignal:
    """The linearised amp around a solution."""
    Y = solved.Y.copy()
    source = solved.system.index.get(solved.system.netlist.input_net)
    if source is not None:
        Y[source, source] += 1.0 / SOURCE_OHMS
    return SmallSignal(solved, Y, solved.system.dynamic())


def small_signal(netlist: Netlist, operating: Operating | Condition) -> SmallSignal:
    """The linearised amp in the condition of an operating point (or in a condition). Solves again: results carry no matrices."""
    condition = operating.condition if isinstance(operating, Operating) else operating
    return linearise(solve_system(build_system(netlist, condition)))


def stage_gains(netlist: Netlist, found: SmallSignal) -> tuple[StageGain, ...]:
    """Gain at 1 kHz of every stage with an input and an output net, as loaded in the amp; an inverter has one row per output."""
    return tuple(row for stage in netlist.stages for row in _stage_rows(found, stage))


def _stage_rows(found: SmallSignal, stage: StageInstance) -> list[StageGain]:
    sides = [(f"in-{letter}", f"out-{letter}") for letter in "ab"]
    if all({start, end} <= set(stage.ports) for start, end in sides):  # between inverter and output: each half by itself
        return [row for start, end in sides for row in _rows(found, stage, stage.ports[start], [stage.ports[end]])]
    outs = [net for name, net in stage.ports.items() if name == "out" or name.startswith("out-")]
    return _rows(found, stage, stage.ports.get("in", ""), outs)


def _rows(found: SmallSignal, stage: StageInstance, start: str, outs: Sequence[str]) -> list[StageGain]:
    known = found.system.index
    outs = [net for net in dict.fromkeys(outs) if net in known and net != start]
    if start not in known or not outs:
        return []
    # the ratio of volts in the working amp, driven at the input of the stage's own channel; a stage no input reaches is driven by itself
    own = channel_input(found.netlist.stages, stage) or found.netlist.input_net
    driven = own if own in known else start
    working = found.transfer(driven, [start, *outs], [GAIN_HERTZ])[0]
    ratios = working[1:] / working[0] if abs(working[0]) > 1e-6 else found.transfer(start, outs, [GAIN_HERTZ])[0]
    return [stage_gain(stage.id, start, net, complex(ratio)) for net, ratio in zip(outs, ratios, strict=True)]


def stage_gain(stage: str, start: str, end: str, ratio: complex) -> StageGain:
    """A gain as the results carry it; -inf dB for none at all."""
    size = abs(ratio)
    decibels = 20.0 * math.log10(size) if size > 0.0 else float("-inf")
    return StageGain(stage, start, end, size, decibels, math.degrees(math.atan2(ratio.imag, ratio.real)))


def responses(found: SmallSignal, nets: Sequence[str] = (), hertz: Sequence[float] = HERTZ) -> tuple[Response, ...]:
    """From the input jack to the speaker (the netlist's output net), or to the given nets."""
    wanted = tuple(nets) or (found.netlist.output_net,)
    values = found.transfer(found.netlist.input_net, wanted, hertz)
    controls: Mapping[str, float] = found.system.condition.controls
    points = tuple(map(float, hertz))
    return tuple(
        Response(net, points, tuple(map(float, values[:, k].real)), tuple(map(float, values[:, k].imag)), controls)
        for k, net in enumerate(wanted)
    )
