"""Diagnostics: what is wrong, where, and what to do; sorting, renderers, suggestions."""

from .model import Diagnostic, Help, Label, Severity, Span

__all__ = ["Diagnostic", "Help", "Label", "Severity", "Span"]
