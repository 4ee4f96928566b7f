"""An EF86 in the place of the first stage: changes that make it out of dunlin or of the frozen pipit."""

from __future__ import annotations

PENTODE = (
    "{stage: pentode-gain, id: first, tube: V3, supply: NODE, plate_load: 220k 1W, screen_resistor: 1M 0.5W, screen_bypass: 100n 400V,"
    " cathode_resistor: 2k2, cathode_bypass: 22u 63V, coupling: 22n 630V}"
)


def first_pentode(node: str, **more: str) -> dict[str, str]:
    """The changes; more: keys of the stage to set, `~` to leave one out."""
    return {
        "tubes/V3": "EF86",
        "signal/1": PENTODE.replace("NODE", node),
        "unused": "{V1a: ground}",
        **{f"signal/1/{key}": value for key, value in more.items()},
    }
