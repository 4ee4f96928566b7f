"""Pages of the codes about waivers, which are no rules of their own."""

from __future__ import annotations

from ..diagnostics.pages import CodePage

_EXAMPLE = """waive:
  - rule: HTR-001
    element: H1
    value: 95 %
    reason: the maker rates the winding for continuous service at 50 degrees
    by: M. Reed
    date: 2026-11-25"""

PAGES = {
    page.code: page
    for page in (
        CodePage(
            "WVR-001",
            "unused-waiver",
            "A waiver covers no finding: its rule did not fail on that element.",
            "A waiver that outlives its finding would silence the next one. Delete it, or correct its rule or element.",
            good=_EXAMPLE,
        ),
        CodePage(
            "WVR-002",
            "void-waiver",
            "The value a waiver was given for moved by more than 5 %.",
            "A waiver is a judgement about one number. Look at the new number, then write it into the waiver or change the design.",
            good=_EXAMPLE,
        ),
        CodePage(
            "WVR-003",
            "waived-danger",
            "A waiver names a finding that is a danger.",
            "Shock, fire and burn cannot be waived. Change the design.",
        ),
        CodePage(
            "WVR-004",
            "expired-waiver",
            "A waiver is past its `expires` date.",
            "Look at the finding again and give the waiver a new date, or change the design.",
            good=_EXAMPLE,
        ),
    )
}
