"""Formulas with their numbers, as rows of a table: the textbook's result beside the solver's, and in words what lies between."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

from ..analysis.results import Worked
from ..units import show_decibels, show_siemens, significant
from . import keys, words
from .citing import cited
from .model import Cell, Row, Table, num, txt

AGREE = 0.01
"""Formula and solver agree when they differ by no more than this share."""

SHOW: Mapping[str, Callable[[float], str]] = {
    "V": words.volts,
    "A": words.amps,
    "ohm": words.ohms,
    "F": words.farads,
    "H": words.henries,
    "W": words.watts,
    "VA": words.volt_amps,
    "J": words.joules,
    "Hz": words.hertz,
    "s": words.seconds,
    "S": lambda value: show_siemens(words.computed(value)),
    "dB": show_decibels,
    "%": words.percent,
    "x": lambda value: f"{words.computed(value):g}",
}
"""How a number of each unit is printed."""


def shown(value: float, unit: str) -> str:
    """A number with its unit, three digits."""
    return SHOW[unit](value)


def filled(row: Worked) -> str:
    """The formula with the numbers in the place of its symbols; in brackets where they are negative or squared."""
    symbols = sorted({g.symbol for g in row.given}, key=len, reverse=True)
    if not symbols:
        return row.formula
    values = {g.symbol: shown(g.value, g.unit) for g in row.given}
    pattern = rf"(?<![A-Za-z0-9µ]){'(' + '|'.join(map(re.escape, symbols)) + ')'}(?![A-Za-z0-9µ])(²?)"

    def number(found: re.Match[str]) -> str:
        text = values[found[1]]
        return f"({text}){found[2]}" if text.startswith("-") or (found[2] and " " in text) else f"{text}{found[2]}"

    return re.sub(pattern, number, row.formula)


def formula_table(caption: str, rows: Sequence[Worked], anchor: str) -> Table:
    """A table of them."""
    note = "The formula's number beside the solver's; where they differ by more than 1 %, the last column says what the formula leaves out."
    columns = ("What", "Formula", "With its numbers", "Gives", "Solver", "From")
    return Table(caption, columns, tuple(_row(row) for row in rows), note, anchor)


def _row(row: Worked) -> Row:
    key = ("worked", row.name)
    solved: Cell = num("–")
    if row.solved is not None:
        solved = num(shown(row.solved, row.unit), keys.at(*key, "solver_gives"))
    return Row(
        (
            txt(f"{row.about}: {row.what}" if row.group == "preamp" else row.what[0].upper() + row.what[1:]),
            txt(f"{row.symbol} = {row.formula}" if row.formula != row.symbol else row.formula),
            txt(filled(row)),
            num(shown(row.closed, row.unit), keys.at(*key, "formula_gives")),
            solved,
            txt(_remark(row)),
        ),
        anchor=f"worked-{row.name.replace('/', '-')}",
    )


def _remark(row: Worked) -> str:
    inputs = "; ".join(f"{g.symbol}: {g.what}" for g in row.given if g.what)
    head, _, tag = row.source.partition("rating: ")
    source = f"rating: {cited(tag)}" if tag and not head else row.source
    source = source[0].upper() + source[1:]
    return " ".join(f"{part}." for part in (inputs, _gap(row), source) if part)


def _gap(row: Worked) -> str:
    """By how much the formula misses the solver and why; nothing where they agree."""
    off = row.off_share
    if row.solved is None or off is None or abs(off) <= AGREE:
        return ""
    side = "above" if off > 0.0 else "below"
    return f"The formula is {words.percent(significant(100.0 * abs(off), 2))} {side} the solver: {row.why}"
