"""The spec with its names bound to parts: what elaboration works from."""

from __future__ import annotations

from collections.abc import Mapping

from ..diagnostics import Span
from ..parts.model import DiodeType, Region, TubeType
from ..records import record
from .model import Block


@record
class BoundTube:
    """A tube of the amp, bound to its type."""

    ref: str
    type: TubeType
    span: Span
    path: str


@record
class Design:
    """The bound spec. `spec` is the root block; `shop` the house style and maker (an empty block when no shop file is included)."""

    name: str
    spec: Block
    shop: Block
    region: Region
    mains_hertz: float
    tubes: Mapping[str, BoundTube]
    diodes: Mapping[str, DiodeType]

    @property
    def wire_colours(self) -> Mapping[str, str]:
        """House wire colours of the shop file: what a net carries -> colour."""
        return {key: str(field.value) for key, field in self.shop.block("wire_colours")}

    @property
    def resistor_symbol(self) -> str:
        """ "zigzag" (IEEE 315) or "box" (IEC 60617)."""
        return str(self.shop.block("style").get("resistors", "zigzag"))
