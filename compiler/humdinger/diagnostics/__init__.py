"""Diagnostics: what is wrong, where, and what to do; sorting, renderers, suggestions."""

from .model import Diagnostic, Help, Label, Severity, Span
from .suggest import nearest, nearest_all

__all__ = ["Diagnostic", "Help", "Label", "Severity", "Span", "nearest", "nearest_all"]
