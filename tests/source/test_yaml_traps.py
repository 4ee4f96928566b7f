"""What YAML does behind a writer's back, and what the language leaves out: each refused at its place, or read as written."""

from __future__ import annotations

import pytest

from humdinger.diagnostics import Diagnostic, Severity
from humdinger.source import Mapping, MemoryWorld, Scalar, Sequence, Source, load
from humdinger.source.build import build_tree

PATH = "amp.yaml"


def read(text: str | bytes) -> tuple[Source | None, tuple[Diagnostic, ...]]:
    return load(MemoryWorld({PATH: text}), PATH)


def place(found: Diagnostic) -> tuple[int, int, int]:
    assert found.primary
    span = found.primary.span
    assert span.line == span.end_line
    return span.line, span.column, span.end_column


# text, code, a piece of the message, (line, first column, end column) of the primary label
REFUSED: list[tuple[str | bytes, str, str, tuple[int, int, int]]] = [
    ("", "SRC-006", "empty", (1, 1, 2)),
    ("# only a comment\n\n", "SRC-006", "empty", (1, 1, 2)),
    ("---\n...\n", "SRC-006", "empty", (1, 1, 2)),
    ("a: 1\n\n\na: 2\n", "SRC-010", "'a' stands twice", (4, 1, 2)),
    ('a: 1\n"a": 2\n', "SRC-010", "'a' stands twice", (2, 1, 4)),
    ("x: {a: 1, b: 2, a: 3}\n", "SRC-010", "'a' stands twice", (1, 17, 18)),
    ("a: &x {b: 1}\nc:\n  <<: *x\n", "SRC-011", "merge key", (3, 3, 5)),
    ("a: !!int 3\n", "SRC-012", "tag", (1, 4, 9)),
    ("a: !!python/object/apply:os.system [ls]\n", "SRC-012", "tag", (1, 4, 35)),
    ("a: ! 3\n", "SRC-012", "tag", (1, 4, 5)),
    ("a: &x !foo 3\n", "SRC-012", "tag", (1, 7, 11)),
    ("a: !foo\n  b: 1\n", "SRC-012", "tag", (1, 4, 8)),
    ("%TAG ! tag:x,2000:\n---\na: 1\n", "SRC-012", "%TAG", (1, 1, 2)),
    ("a: 1\n---\nb: 1\n", "SRC-009", "second document", (2, 1, 4)),
    ("a: 1\n...\n---\nb: 1\n", "SRC-009", "second document", (3, 1, 4)),
    ("a:\n\tb: 1\n", "SRC-008", "tab", (2, 1, 2)),
    ("a:\n  b: 1\n \tc: 1\n", "SRC-008", "tab", (3, 2, 3)),
    ("a: *x\n", "SRC-015", "no anchor", (1, 4, 6)),
    ("a: &plate 1\nb: *plat\n", "SRC-015", "no anchor", (2, 4, 9)),
    ("a: &x [1, *x]\n", "SRC-015", "inside what it repeats", (1, 11, 13)),
    ("a: &x 1\nb: &x 2\n", "SRC-015", "given twice", (2, 4, 6)),
    ("? [a, b]\n: 1\n", "SRC-016", "list or mapping", (1, 3, 9)),
    ("? \n: 2\n", "SRC-016", "key is empty", (1, 1, 2)),
    ('"": 2\n', "SRC-016", "key is empty", (1, 1, 3)),
    ("- a\n- b\n", "SRC-017", "a list", (1, 1, 4)),
    ("just a text\n", "SRC-017", "a single text", (1, 1, 12)),
    ("a: \x00\n", "SRC-005", "NUL", (1, 4, 5)),
    ("a: 1\n\nb: x\x1b[31m\n", "SRC-005", "U+001B", (3, 5, 6)),
    ("a: 1\rb: 2\n", "SRC-005", "carriage return", (1, 5, 6)),
    ("a: 1\u2028b: 2\n", "SRC-005", "U+2028", (1, 5, 6)),
    ("a: \u202e1\n", "SRC-005", "U+202E", (1, 4, 5)),
    ("a: 1\n\ufeffb: 2\n", "SRC-005", "U+FEFF", (2, 1, 2)),
    ('a: "x\\x07"\n', "SRC-005", "U+0007", (1, 4, 11)),
    ('a: "\\0"\n', "SRC-005", "U+0000", (1, 4, 8)),
    ('"a\\e": 1\n', "SRC-005", "U+001B", (1, 1, 6)),
    (b"a: caf\xe9\n", "SRC-003", "byte 0xe9", (1, 7, 8)),
    (b"a: 1\n\xc3\xa9: \xff\n", "SRC-003", "byte 0xff", (2, 4, 5)),
    ("a: 1\n".encode("utf-16"), "SRC-003", "byte 0xff", (1, 1, 2)),
    ("a: " + "[" * 40 + "]" * 40, "SRC-014", "deeper than 32", (1, 35, 36)),
    ("a: " + "x" * 262_144, "SRC-002", "256 KiB", (1, 1, 2)),
    # Syntax.
    ("a: [1, 2\nb: 3\n", "SRC-007", "list is not closed", (2, 2, 3)),
    ("a: {b: 1\n", "SRC-007", "mapping is not closed", (1, 8, 9)),
    ('a: "open\nb: 1\n', "SRC-007", "quote is not closed", (1, 4, 5)),
    ("a: 'open\n", "SRC-007", "quote is not closed", (1, 4, 5)),
    ("a: @x\n", "SRC-007", "cannot begin with '@'", (1, 4, 5)),
    ("a: `x`\n", "SRC-007", "cannot begin with '`'", (1, 4, 5)),
    ("a: %x\n", "SRC-007", "cannot begin with '%'", (1, 4, 5)),
    ("a: b: c\n", "SRC-007", "no key can be", (1, 5, 6)),
    ("a: 1\n  b: 2\n", "SRC-007", "no key can be", (2, 4, 5)),
    ("a: 1\nword\nb: 2\n", "SRC-007", "the ':' is missing", (2, 1, 2)),
    ("a:\n    b: 1\n  c: 2\n", "SRC-007", "indentation", (3, 3, 4)),
    ("a: 1\n- b\n", "SRC-007", "indentation", (2, 1, 2)),
    ('a: "\\q"\n', "SRC-007", "backslash", (1, 5, 6)),
    ("a: & x\n", "SRC-007", "anchor or an alias", (1, 4, 5)),
    ("a: - b\n", "SRC-007", "list item", (1, 4, 5)),
]


@pytest.mark.parametrize(("text", "code", "message", "where"), REFUSED)
def test_refused_at_its_place(text: str | bytes, code: str, message: str, where: tuple[int, int, int]) -> None:
    _, found = read(text)
    assert [d.code for d in found] == [code]
    assert message in found[0].message
    assert found[0].severity is Severity.ERROR
    assert place(found[0]) == where
    assert found[0].helps
    assert "\n" not in found[0].message


def test_a_duplicate_key_shows_both_places_and_the_first_is_taken() -> None:
    source, found = read("grid_leak: 1M\n\ngrid_leak: 220k\n")
    assert [(label.span.line, label.primary) for label in found[0].labels] == [(3, True), (1, False)]
    assert source is not None
    assert source.root.get("grid_leak") == Scalar("1M", source.root.entries[0].value.span)


def test_several_faults_of_a_file_come_at_once() -> None:
    _, found = read("a: !x 1\na: 2\n<<: {b: 1}\nc: &k 1\nd: &k 2\n")
    assert [d.code for d in found] == ["SRC-012", "SRC-010", "SRC-011", "SRC-015"]


def test_a_byte_order_mark_is_told_and_left_out() -> None:
    source, found = read(b"\xef\xbb\xbfa: 1\n")
    assert [(d.code, d.severity) for d in found] == [("SRC-004", Severity.INFO)]
    assert source is not None
    assert source.root.entries[0].key.span.column == 1
    assert source.texts[PATH] == "a: 1\n"


# YAML 1.1 would make booleans, 90, 10, a float, a date, null and a merge of these.
PLAIN = (
    "on", "no", "yes", "true", "1:30", "012", "0o12", "1e3", "2026-11-25", "~", "null", ".nan", "0x1F", "1_000", "=", "4k7",
)  # fmt: skip


@pytest.mark.parametrize("text", PLAIN)
def test_plain_scalars_stay_what_was_written(text: str) -> None:
    source, found = read(f"a: {text}\nb: '{text}'\n")
    assert not found
    assert source is not None
    a, b = source.root.get("a"), source.root.get("b")
    assert isinstance(a, Scalar)
    assert isinstance(b, Scalar)
    assert (a.text, a.quoted, b.text, b.quoted) == (text, False, text, True)


def test_a_quoted_merge_key_is_a_key() -> None:
    source, found = read("'<<': 1\n")
    assert not found
    assert source is not None
    assert source.root.get("<<")


def test_block_scalars_fold_as_yaml_says() -> None:
    source, found = read("a: >\n  one\n  two\n\n  three\nb: |\n  x\n  y\nc: >-\n  z\n")
    assert not found
    assert source is not None
    texts = [entry.value.text for entry in source.root.entries if isinstance(entry.value, Scalar)]
    assert texts == ["one two\nthree\n", "x\ny\n", "z"]


def test_tabs_inside_texts_and_after_colons_are_no_fault() -> None:
    source, found = read("a:\tone\nb: |\n  x\n  \ty\nc: 'p\tq'\n")
    assert not found
    assert source is not None
    assert source.root.get("a")


def test_windows_line_ends_change_nothing() -> None:
    unix, _ = read("a: 1\nb:\n  - x\n  - y\n")
    windows, found = read("a: 1\r\nb:\r\n  - x\r\n  - y\r\n")
    assert not found
    assert unix is not None
    assert windows is not None
    assert unix.root == windows.root


def test_nested_aliases_cannot_grow() -> None:
    lines = ["a0: &a0 [" + ",".join("x" * 10) + "]"]
    lines += [f"a{i}: &a{i} [{','.join([f'*a{i - 1}'] * 9)}]" for i in range(1, 12)]
    _, found = read("\n".join(lines))
    assert [d.code for d in found] == ["SRC-013"]
    assert place(found[0])[0] <= 6


def test_many_aliases_of_little_are_capped_too() -> None:
    _, found = read("a: &a 1\nb: [" + ", ".join(["*a"] * 101) + "]\n")
    assert [d.code for d in found] == ["SRC-013"]
    _, found = read("a: &a 1\nb: [" + ", ".join(["*a"] * 100) + "]\n")
    assert not found


def test_aliases_count_into_the_depth() -> None:
    deep = "[" * 20 + "]" * 20
    _, found = read(f"a: &a {deep}\nb: {'[' * 20}*a{']' * 20}\n")
    assert [d.code for d in found] == ["SRC-014"]


def test_an_alias_stands_for_its_anchor_and_a_scalar_keeps_the_place_of_its_use() -> None:
    source, found = read("a: &x 10k\nb: *x\nc: &l [1, 2]\nd: *l\n")
    assert not found
    assert source is not None
    b = source.root.get("b")
    assert isinstance(b, Scalar)
    assert (b.text, b.span.line, b.span.column, b.span.end_column) == ("10k", 2, 4, 6)
    assert source.root.get("d") == source.root.get("c")


def test_the_deepest_allowed_nesting_is_read() -> None:
    # The root is one, each bracket one, the scalar one: 32 in all.
    source, found = read("a: " + "[" * 30 + "x" + "]" * 30)
    assert not found
    assert source is not None
    _, found = read("a: " + "[" * 31 + "x" + "]" * 31)
    assert [d.code for d in found] == ["SRC-014"]


HOSTILE = (
    ("[", 250_000),
    ("{", 250_000),
    ("- ", 120_000),
    ("? ", 100_000),
    ("a: &a ", 3000),
    ("&a ", 80_000),
    ("!a ", 80_000),
    ("'", 250_001),
    (": ", 100_000),
)


@pytest.mark.parametrize("text", [piece * times for piece, times in HOSTILE], ids=[piece for piece, _ in HOSTILE])
def test_hostile_texts_end_in_a_diagnostic(text: str) -> None:
    source, found = read(text)
    assert source is None
    assert found
    assert len(found) < 50


# Both readers must agree, or a machine without the C one would see other spans.
SAME = [
    'a: &x 10k\nb: *x\nd:\ne: [1, 2,\n  3]\nf: >\n  folded\n  text\n\n# c\ng: "q\\x41"\nh:\n-\n- x\n"ü": µΩ 漢 z\ni: {k: v, l}\n',
    "list:\n  - a: 1\n    b: 2\n\n  - c\n\n# end\n",
    "a: plain over\n  two lines\nb: 'quoted over\n  two lines'\nc: {x: 1,\n  y: 2}\n",
]


@pytest.mark.parametrize("text", SAME)
def test_the_reader_in_python_gives_the_same_tree(text: str) -> None:
    fast, slow = build_tree(PATH, text), build_tree(PATH, text, pure=True)
    assert fast == slow
    assert fast[0] is not None


@pytest.mark.parametrize(("text", "code"), [(text, code) for text, code, *_ in REFUSED if code in ("SRC-007", "SRC-008")])
def test_the_reader_in_python_refuses_the_same(text: str, code: str) -> None:
    _, found = build_tree(PATH, text, pure=True)
    assert [d.code for d in found] == [code]


def spans(node: object) -> list[tuple[str, int, int, int]]:
    """What each key, scalar and collection is underlined with, in order."""
    if isinstance(node, Scalar):
        return [(node.text, node.span.line, node.span.column, node.span.end_column)]
    if isinstance(node, Sequence):
        return [("[]", node.span.line, node.span.column, node.span.end_column), *(row for item in node.items for row in spans(item))]
    assert isinstance(node, Mapping)
    rows = [("{}", node.span.line, node.span.column, node.span.end_column)]
    for entry in node.entries:
        rows += spans(entry.key) + spans(entry.value)
    return rows


def test_spans_are_on_one_line_and_end_where_the_words_end() -> None:
    text = (
        "signal:\n  - stage: input   # comment\n    id: x\n\n\n# far\noutput: {tubes: [V4, 'V5']}\n"
        "empty:\nlong: >\n  a\n  b\n\nnext: two\n  lines\n"
    )
    source, found = read(text)
    assert not found
    assert source is not None
    assert spans(source.root) == [
        ("{}", 1, 1, 7),
        ("signal", 1, 1, 7),
        ("[]", 2, 3, 10),
        ("{}", 2, 5, 10),
        ("stage", 2, 5, 10),
        ("input", 2, 12, 17),
        ("id", 3, 5, 7),
        ("x", 3, 9, 10),
        ("output", 7, 1, 7),
        ("{}", 7, 9, 28),
        ("tubes", 7, 10, 15),
        ("[]", 7, 17, 27),
        ("V4", 7, 18, 20),
        ("V5", 7, 22, 26),
        ("empty", 8, 1, 6),
        ("", 8, 1, 6),
        ("long", 9, 1, 5),
        ("a b\n", 9, 7, 8),
        ("next", 13, 1, 5),
        ("two lines", 13, 7, 10),
    ]
