"""Diagnostics: what is wrong, where, and what to do; sorting, renderers, suggestions."""

from .model import Diagnostic, Help, Label, Severity, Span
from .pages import CodePage
from .suggest import nearest, nearest_all

__all__ = ["CodePage", "Diagnostic", "Help", "Label", "Severity", "Span", "nearest", "nearest_all"]
