"""The leads of the B+ supply in which an HT fuse or a standby switch may stand.

A lead runs from one net to another. Where nothing stands in it, the two nets are one.
"""

from __future__ import annotations

from ..spec.model import Block
from ..units.values import ContactRating, FuseRating
from .amounts import amount
from .builder import Scope
from .netlist import Fuse, Pin, Switch

CENTRE_TAP = "centre-tap"
WINDING = "winding"
BEFORE_RESERVOIR = "before-reservoir"
AFTER_RESERVOIR = "after-reservoir"
BEFORE_CHOKE = "between-reservoir-and-choke"
"""The places a fuse or switch may have, as the spec words them."""


def place_of(supply: Block, key: str) -> str:
    """Where the fuse ("ht_fuse") or the switch ("standby") of a supply stands; "" when there is none."""
    return str(supply.block(key).get("where", ""))


def stands_in(supply: Block, place: str) -> bool:
    """Whether anything stands in a lead."""
    return place in (place_of(supply, "ht_fuse"), place_of(supply, "standby"))


def lead(scope: Scope, place: str, start: str, end: str) -> None:
    """Runs a lead from `start` to `end` through what the spec puts there: the fuse first, then the switch.

    scope.block is the supply. The fuse comes first so that the switch and its wires are behind it.
    """
    supply = scope.block
    fuse, switch = place_of(supply, "ht_fuse") == place, place_of(supply, "standby") == place
    between = start
    if fuse:
        between = scope.builder.net(f"{start}-fused", scope.builder.nets[start].domain) if switch else end
        ht_fuse(scope, start, between)
    if switch:
        standby(scope, between, end)
    elif not fuse:
        scope.builder.join(start, end, supply.span)


def ht_fuse(scope: Scope, net1: str, net2: str, suffix: str = "") -> None:
    """The HT fuse between two nets; suffix tells two of them apart."""
    block = scope.block.block("ht_fuse")
    rating = block.get("rating")
    if not isinstance(rating, FuseRating):
        return
    path = f"{block.path}/rating"
    scope.keep(
        Fuse,
        "fuse",
        role=f"ht-fuse-{suffix}" if suffix else "ht-fuse",
        path=f"{path}/{suffix}" if suffix else path,
        span=block.span_of("rating"),
        pins=(Pin("1", net1), Pin("2", net2)),
        label="HT fuse",
        amps=rating.amps,
        characteristic=rating.characteristic,
        breaking=rating.breaking,
        volts=rating.volts,
        where="high-tension",
    )


def standby(scope: Scope, net1: str, net2: str) -> None:
    """The standby switch between two nets, closed (PLAY)."""
    block = scope.block.block("standby")
    rating = block.get("rating")
    known = isinstance(rating, ContactRating)
    scope.keep(
        Switch,
        "switch",
        role="standby",
        path=block.path,
        span=block.span_of("where"),
        pins=(Pin("1a", net1), Pin("1b", net2)),
        label="STANDBY",
        poles=1,
        where="standby",
        volts=rating.volts if known else None,
        amps=rating.amps if known else None,
        dc_volts=amount(block, "dc_rating"),
    )
