"""What a component text or a quantity means, once read. SI values; None where the text said nothing."""

from __future__ import annotations

from ..records import record


@record
class Quantity:
    """A number with its unit: V, A, W, VA, Ω, F, H, Hz, s, m, m², kg, °C, dB, %. Lengths are metres; layout converts to millimetres."""

    value: float
    unit: str


@record
class Resistance:
    """`100k 1W 5%`, `470 5W wirewound`, or a mapping {value, power, tolerance, volts, type, part}. Tolerance is a fraction: 0.05."""

    ohms: float
    watts: float | None = None
    tolerance: float | None = None
    volts: float | None = None
    technology: str | None = None
    part: str = ""


@record
class Capacitance:
    """`22u 63V`, `4n7 630V film`, or a mapping {value, rating, tolerance, type, ripple, part}."""

    farads: float
    volts: float | None = None
    tolerance: float | None = None
    technology: str | None = None
    ripple_amps: float | None = None
    part: str = ""


@record
class Potentiometer:
    """`250k audio`, `25k linear 0.5W`. taper: "linear", "audio", "reverse-audio"."""

    ohms: float
    taper: str = "linear"
    watts: float | None = None
    technology: str | None = None
    part: str = ""


@record
class FuseRating:
    """`T 500mA H 250V`: IEC 60127 characteristic (FF F M T TT), amps, breaking capacity (H L E or ""), volts."""

    characteristic: str
    amps: float
    breaking: str = ""
    volts: float | None = None


@record
class ContactRating:
    """`250 V 4 A`."""

    volts: float
    amps: float


@record
class WindingVolts:
    """`220-0-220 V` (centre-tapped, volts of one half) or `210 V`."""

    volts: float
    centre_tapped: bool


@record
class SectionName:
    """`V1a`: a tube and its section; section "" for the whole tube (`V3` for both halves, or a single tube)."""

    tube: str
    section: str
