"""Manual: what the builder reads, as data."""

from .compose import compose
from .model import Manual, Page

__all__ = ["Manual", "Page", "compose"]
