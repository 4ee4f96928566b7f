"""Output stages put into a spec, as changes of it."""

from __future__ import annotations

TAPPED = {"output/transformer/screen_tap": "43 %"}


def connected(connection: str, node: int = 1, **more: str) -> dict[str, str]:
    """An output stage in triode or ultralinear connection. node: the place in the filter of the node that fed the screens."""
    changes = {"output/connection": connection, f"supply/filter/{node}/feeds": "~"}
    if connection == "ultralinear":
        changes |= TAPPED
    return changes | {f"output/{key}": value for key, value in more.items()}
