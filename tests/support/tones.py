"""Tone controls and a master volume put into a spec; and responses by Cramer's rule, which share nothing with the solver."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence

import numpy as np
import yaml
from numpy.polynomial import polynomial
from numpy.typing import NDArray

STACK = (
    "{stage: three-knob-tone, id: tone, treble: 250k audio, bass: 1M audio, middle: 25k linear,"
    " treble_capacitor: 250p 630V, bass_capacitor: 100n 630V, middle_capacitor: 47n 630V}"
)

FOLLOWER = "{stage: cathode-follower, id: follow, tube: TUBE, supply: NODE, cathode_resistor: 100k 1W flameproof}"


def stack_behind_a_plate(stage: int, **more: str) -> dict[str, str]:
    """A three-knob tone in the place of a tone stage, coupled direct to the plate before it."""
    changes = {f"signal/{stage}": STACK, f"signal/{stage - 1}/coupling": "direct"}
    return changes | {f"signal/{stage}/{key}": value for key, value in more.items()}


def stack_behind_a_follower(text: str, stage: int, tube: str, node: str, **more: str) -> dict[str, str]:
    """The same with a cathode follower between plate and network."""
    stages = yaml.load(text, yaml.BaseLoader)["signal"]
    stages[stage - 1]["coupling"] = "direct"
    follower = yaml.load(FOLLOWER.replace("TUBE", tube).replace("NODE", node), yaml.BaseLoader)
    stages[stage : stage + 1] = [follower, yaml.load(STACK, yaml.BaseLoader) | more]
    return {"signal": json.dumps(stages)}


Branch = tuple[str, str, float, float]
"""From, to, siemens, farads."""


def nodal_response(
    branches: Sequence[Branch], source: str, out: str, hertz: Sequence[float], gains: Mapping[tuple[str, str, str], float] | None = None
) -> NDArray[np.complex128]:
    """V(out)/V(source) by Cramer's rule on polynomials in s; node "0" is ground. gains: (into, controlled by, against) -> siemens.

    Kirchhoff's current law at every node but ground and the source; the determinants are sums over permutations, so the result is the
    rational transfer function itself, evaluated last.
    """
    nodes = sorted({node for a, b, _, _ in branches for node in (a, b)} - {"0", source})
    at = {node: k for k, node in enumerate(nodes)}
    n = len(nodes)
    matrix = [[np.zeros(2) for _ in range(n)] for _ in range(n)]
    right = [np.zeros(2) for _ in range(n)]
    for a, b, siemens, farads in branches:
        y = np.array([siemens, farads])
        for one, other in ((a, b), (b, a)):
            if one in at:
                matrix[at[one]][at[one]] = matrix[at[one]][at[one]] + y
                if other in at:
                    matrix[at[one]][at[other]] = matrix[at[one]][at[other]] - y
                elif other == source:
                    right[at[one]] = right[at[one]] + y
    for (into, control, against), siemens in (gains or {}).items():
        for node, sign in ((control, 1.0), (against, -1.0)):
            if node in at:
                matrix[at[into]][at[node]] = matrix[at[into]][at[node]] + np.array([sign * siemens, 0.0])
    column = at[out]
    replaced = [[right[i] if j == column else cell for j, cell in enumerate(row)] for i, row in enumerate(matrix)]
    s = 2j * np.pi * np.asarray(hertz)
    return polynomial.polyval(s, _determinant(replaced)) / polynomial.polyval(s, _determinant(matrix))


def _determinant(matrix: list[list[NDArray[np.float64]]]) -> NDArray[np.floating]:
    """Expanded row by row; rows that have used the same columns are added up, so that ten nodes take a thousand steps."""
    sums: dict[frozenset[int], NDArray[np.floating]] = {frozenset(): np.ones(1)}
    for row in matrix:
        fresh: dict[frozenset[int], NDArray[np.floating]] = {}
        for used, value in sums.items():
            for column, cell in enumerate(row):
                if column in used or not cell.any():
                    continue
                sign = -1.0 if sum(other > column for other in used) % 2 else 1.0
                key = used | {column}
                fresh[key] = polynomial.polyadd(fresh.get(key, np.zeros(1)), sign * polynomial.polymul(value, cell))
        sums = fresh
    return sums[frozenset(range(len(matrix)))]


LOOP = (
    "{stage: feedback-tone, id: loop, tube: TUBE, supply: NODE, plate_load: 100k 1W, cathode_resistor: 1k5, cathode_bypass: 22u 63V,"
    " coupling: 100n 630V, bass: 1M linear, treble: 1M linear, bass_capacitor: 2n2 630V, treble_capacitor: 220p 630V}"
)


def loop_instead(stage: int, tube: str, node: str, **more: str) -> dict[str, str]:
    """A feedback tone in the place of a tone stage."""
    changes = {f"signal/{stage}": LOOP.replace("TUBE", tube).replace("NODE", node)}
    return changes | {f"signal/{stage}/{key}": value for key, value in more.items()}


MASTER = "{stage: master-volume, id: master, pot: 1M audio}"

CUT = "{stage: treble-cut, id: top, capacitor: 4n7 630V, pot: 1M audio}"


def with_stage(text: str, at: int, stage: str) -> dict[str, str]:
    """A stage more, put into the signal at that place."""
    stages = yaml.load(text, yaml.BaseLoader)["signal"]
    stages[at:at] = [yaml.load(stage, yaml.BaseLoader)]
    return {"signal": json.dumps(stages)}


LOOP_PLAIN = "{stage: effects-loop, id: loop, send: {series: 220k, shunt: 22k}}"

LOOP_LEVELS = (
    "{stage: effects-loop, id: loop, send: {coupling: 470n 630V film, series: 100k, pot: 10k linear 0.5W, shunt: 100k},"
    " return: {pot: 1M audio 0.5W, leak: 2M2}}"
)
