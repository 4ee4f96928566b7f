"""What has to be right before a fuse is chosen: everything that decides what the amp draws. Shared by the rules on fuses."""

from __future__ import annotations

DRAWN = (
    "TUB-001",
    "BIA-001",
    "BIA-003",
    "BIA-009",
    "OTX-001",
    "PSU-004",
    "REC-007",
    "HTR-001",
    "TUB-009",
    "TUB-003",
    "PSU-001",
    "PSU-002",
)
"""Findings of too much current or of a wrong load: with one of them open, the computed current is that of a fault.

Causes first, their consequences after.
"""

FIRST = "mend {first} first, then choose the fuse: never raise a fuse to fit a fault"
