"""Diagnostics: what is wrong, where, and what to do; sorting, renderers, suggestions."""

from .escape import printable
from .model import Diagnostic, Help, Label, Severity, Span
from .order import Counts, count, exit_code, sort_diagnostics
from .pages import CodePage
from .render_json import render_json
from .render_short import render_short
from .render_text import render_text
from .suggest import nearest, nearest_all

__all__ = [
    "CodePage",
    "Counts",
    "Diagnostic",
    "Help",
    "Label",
    "Severity",
    "Span",
    "count",
    "exit_code",
    "nearest",
    "nearest_all",
    "printable",
    "render_json",
    "render_short",
    "render_text",
    "sort_diagnostics",
]
