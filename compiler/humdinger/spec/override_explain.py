"""Pages of the codes of `--region` and `--tube` (OVR)."""

from __future__ import annotations

from ..diagnostics.pages import CodePage

_PAGES = (
    CodePage(
        "OVR-001",
        "unreadable-override",
        "An argument of `--region` or `--tube` cannot be read.",
        "`--region` takes a code of the language (eu, uk, us, ca, au, jp), with `:50` or `:60` where a region has two mains frequencies. "
        "`--tube` takes designators, an equals sign and a type: `--tube V4,V5=6V6GT`.",
    ),
    CodePage(
        "OVR-002",
        "override-of-nothing",
        "`--tube` names a tube that the spec does not list under `tubes`.",
        "It can only put another type where a tube stands.",
    ),
    CodePage(
        "OVR-003",
        "override-twice",
        "A tube is replaced twice on one command line.",
        "Which of the two is meant, only the writer knows.",
    ),
)

PAGES = {page.code: page for page in _PAGES}
