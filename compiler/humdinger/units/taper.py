"""How much of a pot's track lies between its counter-clockwise end and the wiper, by the position of the shaft.

Audio taper: 10 % of the track at half rotation (common practice). Makers build it from two straight slopes; here it is the
exponential (81^x - 1)/80 through the same three points 0, 10 % and 100 %, because it has no corner in the middle of the knob.
Reverse-audio is the same seen from the other end: 90 % at half rotation.
"""

from __future__ import annotations

END_RESISTANCE = 1e-4
"""What is left of the track at either end, as a fraction of it (common practice: a track's ends are never quite zero)."""

AUDIO_AT_HALF = 0.1


def track_fraction(taper: str, rotation: float) -> float:
    """Track between the counter-clockwise end and the wiper, as a fraction, at a rotation from 0 to 1 (clamped).

    taper: "linear", "audio" or "reverse-audio"; ValueError for another. Never below END_RESISTANCE nor above 1 minus it.
    """
    turned = min(max(rotation, 0.0), 1.0)
    if taper == "linear":
        fraction = turned
    elif taper == "audio":
        fraction = _audio(turned)
    elif taper == "reverse-audio":
        fraction = 1.0 - _audio(1.0 - turned)
    else:
        raise ValueError(f"there is no taper {taper}")
    return min(max(fraction, END_RESISTANCE), 1.0 - END_RESISTANCE)


def _audio(turned: float) -> float:
    # b follows from (sqrt(b) - 1)/(b - 1) = AUDIO_AT_HALF.
    base = (1 / AUDIO_AT_HALF - 1) ** 2
    return (base**turned - 1) / (base - 1)
