"""Name resolution: every name of the spec is bound to what it stands for, or reported with the nearest known name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..diagnostics import Diagnostic, Severity
from ..parts.model import DiodeType, Region
from ..units.values import Quantity
from . import bind_names, bind_tubes
from .design import Design
from .lower import Spec
from .model import POISON, Block, Field
from .report import Report

if TYPE_CHECKING:
    from ..parts.library import Library

DEFAULT_DIODE = "1N4007"
"""What a silicon rectifier is made of when the spec names no diode (common practice)."""


def resolve(spec: Spec, library: Library) -> tuple[Design | None, tuple[Diagnostic, ...]]:
    """Binds tubes, diodes and the region, and checks every name that points somewhere: sections, nodes, stages, taps, windings, controls.

    A builder's own parts files among the includes are laid over the library first. All mistakes are reported at once, in reading
    order; with an error among them there is no Design. Values that were reported before (POISON) raise no second message.
    """
    parts = tuple(file.root for file in spec.source.includes if file.kind == "parts")
    said: tuple[Diagnostic, ...] = ()
    if parts:
        library, said = library.with_user_parts(parts)
    report = Report()
    root = spec.root
    region, hertz = _region(root, library, report)
    tubes = bind_tubes.bind(root, library, report)
    bind_tubes.check_uses(root, tubes, report)
    diodes = _diodes(root, library, report)
    bind_names.check(root, report)
    if spec.complete and not report.broken and not _poisoned(root):
        bind_tubes.warn_idle(root, tubes, report)
    found = said + report.sorted()
    if region is None or any(d.severity in (Severity.ERROR, Severity.DANGER) for d in found):
        return None, found
    name = str(root.block("model").get("name", ""))
    return Design(name, root, spec.shop, region, hertz, {ref: tube for ref, tube in tubes.items() if tube}, diodes), found


def _region(root: Block, library: Library, report: Report) -> tuple[Region | None, float]:
    """The region and its mains frequency."""
    code = root.get("region")
    region = library.region(code) if isinstance(code, str) else None
    if region is None:
        return None, 0.0
    said = root.field("frequency")
    wanted = said.value.value if said and isinstance(said.value, Quantity) else None
    hertz = region.hertz.value if region.hertz else None
    if hertz is None and wanted not in (50.0, 60.0):
        if said is None:
            report.error(
                "NAM-010",
                "mains-frequency",
                f"region {code} has two mains frequencies, so `frequency` is needed",
                root.span_of("region"),
                helps=["add `frequency: 50 Hz` or `frequency: 60 Hz`"],
            )
        elif wanted is not None:
            report.error(
                "NAM-010", "mains-frequency", f"no mains of region {code} has {wanted:g} Hz", said.span, helps=["write 50 Hz or 60 Hz"]
            )
    elif hertz is not None and wanted is not None and wanted != hertz:
        report.error(
            "NAM-010",
            "mains-frequency",
            f"the mains of region {code} has {hertz:g} Hz, not {wanted:g} Hz",
            said.span if said else root.span,
            helps=["leave `frequency` out"],
        )
    _market(root, region, library, report)
    return region, wanted if wanted in (50.0, 60.0) else hertz or 0.0


def _market(root: Block, region: Region, library: Library, report: Report) -> None:
    """The market's mains must be what the amp is built for, and an amp that is sold has a market."""
    model = root.block("model")
    market = model.field("market")
    sold = model.get("sold_as")
    if sold in ("kit", "finished") and (market is None or market.value == "none"):
        span = market.span if market else model.span_of("sold_as")
        report.error(
            "NAM-019",
            "market",
            f"an amp sold as {sold} is sold somewhere, but `market` names no place",
            span,
            helps=["name the market, or write `sold_as: own-use`"],
        )
        return
    there = library.region(market.value) if market and isinstance(market.value, str) else None
    if there is None or market is None:
        return
    built, sold_at = region.nominal_volts.value, there.nominal_volts.value
    if built != sold_at:
        message = f"the amp is sold where the mains is {sold_at:g} V but built for region {region.code} with {built:g} V"
        report.error(
            "NAM-019",
            "market",
            message,
            market.span,
            others=[(root.span_of("region"), f"{built:g} V")],
            helps=[f"write `region: {there.code}`, or another market"],
        )


def _diodes(root: Block, library: Library, report: Report) -> dict[str, DiodeType]:
    """The diode types of the spec by name; the usual one where a rectifier names none."""
    found: dict[str, DiodeType] = {}
    rectifiers = [section.block("rectifier").block("diodes").field("part") for section in (root.block("supply"), root.block("bias"))]
    parts = [part for stage in root.blocks("signal") for part in stage.blocks("parts") if part.get("part") == "diode"]
    for part in (*rectifiers, *(part.field("value") for part in parts)):
        if part is None or part.value is POISON:
            continue
        diode = library.diode(part.value)
        if diode:
            found[part.value] = diode
        else:
            report.unknown("NAM-011", "unknown-diode", part, "is no diode of the parts library", library.diode_names())
    usual = library.diode(DEFAULT_DIODE)
    if usual:
        found.setdefault(DEFAULT_DIODE, usual)
    return found


def _poisoned(block: Block) -> bool:
    """Whether anything in the spec was reported and left out."""
    return any(_bad(found) for _, found in block.fields)


def _bad(found: Field) -> bool:
    if isinstance(found.value, Block):
        return _poisoned(found.value)
    if isinstance(found.value, tuple):
        return any(_bad(item) for item in found.value)
    return found.value is POISON
