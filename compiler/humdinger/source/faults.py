"""The codes of this room: what each means, and how its diagnostics are made."""

from __future__ import annotations

from collections.abc import Mapping

from ..diagnostics import CodePage, Diagnostic, Help, Label, Severity, Span


def _page(code: str, rule: str, what: str, why: str, bad: str = "", good: str = "") -> tuple[str, CodePage]:
    return code, CodePage(code, rule, what, why, bad, good)


SOURCE_CODES: Mapping[str, CodePage] = dict(
    (
        _page(
            "SRC-001",
            "unreadable-file",
            "The spec cannot be read: it is missing, a folder, or closed to this user.",
            "Nothing can be compiled from a file that cannot be read.",
        ),
        _page(
            "SRC-002",
            "file-too-large",
            "A source file is larger than 256 KiB.",
            "A spec is a few pages of text. A file this large is a mix-up, and reading it would only cost time.",
        ),
        _page(
            "SRC-003",
            "not-utf-8",
            "A source file is not UTF-8 text.",
            "Letters such as Ω and µ are read rightly in one encoding only; guessing another would turn them into something else.",
        ),
        _page(
            "SRC-004",
            "byte-order-mark",
            "The file starts with a byte order mark.",
            "Some editors put the mark there. It is left out of account, but other tools may trip over it.",
        ),
        _page(
            "SRC-005",
            "control-character",
            "The file, or an escape in a quoted text, has an invisible control character.",
            "Such characters make a line read other than it looks, and can disturb the terminal that shows them.",
            'summary: "four\\x07 watts"\n',
            'summary: "four watts"\n',
        ),
        _page(
            "SRC-006",
            "empty-file",
            "The file has nothing in it but blanks and comments.",
            "There is no amp to compile.",
        ),
        _page(
            "SRC-007",
            "yaml-syntax",
            "The text is not YAML.",
            "The reader lost its place, so nothing after this point can be trusted. Quotes, brackets and indentation are the usual causes.",
            "tubes: {V1: 12AX7\n",
            "tubes: {V1: 12AX7}\n",
        ),
        _page(
            "SRC-008",
            "tab-indentation",
            "A line is indented with a tab.",
            "YAML allows only blanks there, because editors show tabs at different widths.",
            "model:\n\tname: Dunlin\n",
            "model:\n  name: Dunlin\n",
        ),
        _page(
            "SRC-009",
            "several-documents",
            "The file has more than one YAML document in it.",
            "A spec is one amp. Everything after the second `---` would go unread.",
            "humdinger: 1\n---\nhumdinger: 1\n",
            "humdinger: 1\n",
        ),
        _page(
            "SRC-010",
            "duplicate-key",
            "A key stands twice in one mapping.",
            "Most YAML readers silently take the last one. Which one was meant, only the writer knows.",
            "grid_leak: 1M\ngrid_leak: 220k\n",
            "grid_leak: 1M\n",
        ),
        _page(
            "SRC-011",
            "merge-key",
            "The merge key `<<` is not part of the language.",
            "It hides where a value comes from, and a manual must be able to name the line behind every number.",
            "first: &first {cathode_resistor: 1k5}\nsecond:\n  <<: *first\n",
            "first: {cathode_resistor: 1k5}\nsecond: {cathode_resistor: 1k5}\n",
        ),
        _page(
            "SRC-012",
            "yaml-tag",
            "A YAML tag (`!name`) is not part of the language.",
            "The compiler decides what a text means from its key; a tag would say it a second time, or run code in other programs.",
            "value: !!float 47\n",
            "value: 47\n",
        ),
        _page(
            "SRC-013",
            "alias-limit",
            "Aliases (`*name`) stand for too much text.",
            "A few lines of nested aliases can stand for gigabytes. A spec may use 100 of them, worth 10000 values in all.",
        ),
        _page(
            "SRC-014",
            "nesting-too-deep",
            "Lists and mappings are nested deeper than 32.",
            "No part of a spec is nested deeper than eight or so; a missing bracket is the usual cause.",
        ),
        _page(
            "SRC-015",
            "bad-alias",
            "An alias has no anchor before it, or an anchor is given twice or stands for itself.",
            "An alias repeats what an anchor above it marked.",
            "first: *plate\n",
            "first: &plate 100k\nsecond: *plate\n",
        ),
        _page(
            "SRC-016",
            "odd-key",
            "A key is empty, or a list or mapping instead of a word.",
            "Keys are the words of the language.",
            "? [V1, V2]\n: 12AX7\n",
            "V1: 12AX7\nV2: 12AX7\n",
        ),
        _page(
            "SRC-017",
            "not-a-mapping",
            "The file holds a list or a single text instead of keys with values.",
            "A spec starts with keys at the left margin: `humdinger: 1`, `model:` and so on.",
            "- stage: input\n",
            "signal:\n  - stage: input\n",
        ),
        _page(
            "SRC-020",
            "bad-include",
            "`include` is not a list of relative file names.",
            "The list brings in the shop's own parts and house style.",
            "include: {file: ../shop.yaml}\n",
            "include: [../shop.yaml]\n",
        ),
        _page(
            "SRC-021",
            "missing-include",
            "An included file is not there or cannot be read.",
            "The parts it should bring in would be missing.",
            "include: [../shpo.yaml]\n",
            "include: [../shop.yaml]\n",
        ),
        _page(
            "SRC-022",
            "include-outside-root",
            "An included file lies outside the shop's folder.",
            "The root is the nearest folder above the spec with a shop.yaml in it, else the spec's own folder; "
            "symbolic links are followed first. "
            "A spec from elsewhere must not be able to read your other files.",
            "include: [/etc/hosts]\n",
            "include: [../shop.yaml]\n",
        ),
        _page(
            "SRC-023",
            "include-cycle",
            "Files include each other in a circle.",
            "Neither could be read before the other.",
        ),
        _page(
            "SRC-024",
            "include-too-deep",
            "Includes are nested deeper than 4, or there are more than 32.",
            "House style and parts need one or two files; deeper nesting hides where a value comes from.",
        ),
    )
)

_MILD = frozenset({"SRC-004"})


def at(path: str, line: int, column: int, end_column: int | None = None) -> Span:
    """A span on one line; one character wide unless an end is given."""
    return Span(path, line, column, line, end_column if end_column is not None else column + 1)


def fault(
    code: str,
    message: str,
    span: Span | None,
    *,
    text: str = "",
    cure: str = "",
    note: str = "",
    others: tuple[Label, ...] = (),
) -> Diagnostic:
    """A diagnostic of this room; the rule name and severity follow from the code."""
    labels = (Label(span, text, primary=True), *others) if span else ()
    severity = Severity.INFO if code in _MILD else Severity.ERROR
    return Diagnostic(
        code,
        SOURCE_CODES[code].rule,
        severity,
        message,
        labels,
        notes=(note,) if note else (),
        helps=(Help(cure),) if cure else (),
    )
