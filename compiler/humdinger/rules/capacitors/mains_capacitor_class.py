"""Class of a mains capacitor.

What it checks
    That a capacitor across the mains is of class X or Y, and one from the mains to earth or to the circuit of class Y.

Why it matters
    An ordinary film capacitor on the mains fails as a short, across it as a fire, to the chassis as a live chassis.

How it is computed
    Read off the netlist: its nets and its declared class.

Limits and sources
    Anything else: danger (IEC 60384-14, from memory). Class X2 or Y2 has to be printed on the part.

Example (bad)
    over: curlew
    supply/mains/x_capacitor: 100n 630V

Example (good)
    over: curlew
    supply/mains/x_capacitor: 100n 275V class-X2

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Capacitor
from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed

NAME = "mains-capacitor-class"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per capacitor on a mains conductor."""
    for part in case.netlist.of(Capacitor):
        mains = [case.netlist.nets[pin.net].domain == "mains" for pin in part.pins]
        if not any(mains):
            continue
        across = all(mains)
        classes = ("class-X", "class-Y") if across else ("class-Y",)
        where = "lies across the mains" if across else "joins the mains to earth or circuit"
        if part.technology.startswith(classes):
            yield passed(part.ref, part.span, f"{part.ref} {where} and is of {part.technology.replace('-', ' ')}")
            continue
        what = part.technology.replace("-", " ")
        wanted = "X2" if across else "Y2"
        yield failed(
            Severity.DANGER,
            part.ref,
            part.span,
            f"{part.ref} {where} and is of {'type ' if not what.startswith('class') else ''}{what}, not of class {wanted}",
            label=f"not class {wanted}",
            helps=(f"a capacitor marked {wanted}, or none",),
        )
