"""Humdinger: a compiler from an amp spec to the amp's build manual."""

__version__ = "0.1.0"
