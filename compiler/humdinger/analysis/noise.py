"""Noise of resistors and tubes, as volts rms in series with them."""

from __future__ import annotations

import math

BOLTZMANN = 1.380649e-23
"""J/K, exact by definition of the kelvin."""
ROOM_KELVIN = 295.0


def thermal_noise_volts(ohms: float, bandwidth_hertz: float = 1.0, kelvin: float = ROOM_KELVIN) -> float:
    """Rms noise volts of a resistance, sqrt(4 k T R B): Johnson and Nyquist, 1928. With 1 Hz: volts per root hertz."""
    return math.sqrt(4.0 * BOLTZMANN * kelvin * ohms * bandwidth_hertz)


def triode_noise_ohms(transconductance: float) -> float:
    """The resistance at room temperature that is as noisy as a triode's shot noise, 2.5/gm: Radiotron handbook, chapter 4, from memory."""
    return 2.5 / transconductance
