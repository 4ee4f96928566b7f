"""What changed between two specs: parts, wires, volts and findings, matched and compared. No text of a page, no solving."""

from .compare import difference
from .model import Amp, Difference

__all__ = ["Amp", "Difference", "difference"]
