"""The text renderer, whole outputs compared: the shape is a promise to people and to their editors."""

from __future__ import annotations

from humdinger.diagnostics import Diagnostic, Help, Label, Severity, Span, render_text


def span(line: int, column: int, end: int, file: str = "build.amp.yaml") -> Span:
    return Span(file, line, column, line, end)


SPEC = "\n" * 13 + "    heater: 6.3 V 2 A\n" + "\n" * 7 + "  V4: EL84\n"

HEATER = Diagnostic(
    "HTR-001",
    "overloaded-heater-winding",
    Severity.ERROR,
    "the heater winding is asked for 2.42 A but is rated 2 A",
    (Label(span(14, 13, 22), "rated 2 A at 6.3 V", primary=True), Label(span(22, 7, 11), "takes 0.76 A")),
    ("3 x 0.30 + 2 x 0.76 = 2.42 A, 121 % of the rating; limit 100 %",),
    (Help("a winding rated 2.5 A or more, or a second heater transformer"),),
)


def one(labels: tuple[Label, ...], *, severity: Severity = Severity.ERROR, **rest: object) -> Diagnostic:
    return Diagnostic("TST-001", "some-rule", severity, "something is wrong", labels, **rest)  # type: ignore[arg-type]


def test_the_example_of_the_architecture_page() -> None:
    # The page prints 14:14 in the arrow line; its own carets stand under column 13, which is where 6.3 begins.
    assert (
        render_text([HEATER], {"build.amp.yaml": SPEC})
        == """\
error[HTR-001]: the heater winding is asked for 2.42 A but is rated 2 A
  --> build.amp.yaml:14:13
   |
14 |     heater: 6.3 V 2 A
   |             ^^^^^^^^^ rated 2 A at 6.3 V
...
22 |   V4: EL84
   |       ---- takes 0.76 A
   |
   = note: 3 x 0.30 + 2 x 0.76 = 2.42 A, 121 % of the rating; limit 100 %
   = help: a winding rated 2.5 A or more, or a second heater transformer
   = rule: overloaded-heater-winding (humdinger explain HTR-001)
"""
    )


def test_neighbouring_lines_stand_together_and_the_gutter_grows() -> None:
    text = "\n" * 98 + "a: 1\nb: 2\n"
    found = one((Label(span(100, 1, 2, "f"), "here", primary=True), Label(span(99, 4, 5, "f"))), severity=Severity.DANGER)
    assert (
        render_text([found], {"f": text})
        == """\
danger[TST-001]: something is wrong
   --> f:100:1
    |
 99 | a: 1
    |    -
100 | b: 2
    | ^ here
    |
    = rule: some-rule (humdinger explain TST-001)
"""
    )


def test_two_labels_on_one_line_and_one_in_another_file() -> None:
    labels = (
        Label(span(1, 1, 2, "a.yaml"), "this key"),
        Label(span(1, 4, 7, "a.yaml"), "this value", primary=True),
        Label(span(2, 3, 4, "b.yaml"), "from here"),
    )
    found = one(labels, severity=Severity.WARNING)
    assert (
        render_text([found], {"a.yaml": "k: 4k7\n", "b.yaml": "x:\n  y: 1\n"})
        == """\
warning[TST-001]: something is wrong
 --> a.yaml:1:4
  |
1 | k: 4k7
  |    ^^^ this value
  | - this key
 ::: b.yaml:2:3
  |
2 |   y: 1
  |   - from here
  |
  = rule: some-rule (humdinger explain TST-001)
"""
    )


def test_tabs_wide_and_combining_characters_keep_the_caret_right() -> None:
    rows = ["\tk:\tx", "名字: x", "e\u0301e\u0301: x"]
    places = [(1, 5), (2, 5), (3, 7)]
    shown = []
    for (line, column), _ in zip(places, rows, strict=True):
        shown.append(render_text([one((Label(span(line, column, column + 1, "f"), primary=True),))], {"f": "\n".join(rows)}))
    assert (
        shown[0]
        == """\
error[TST-001]: something is wrong
 --> f:1:5
  |
1 |     k:  x
  |         ^
  |
  = rule: some-rule (humdinger explain TST-001)
"""
    )
    # Two wide characters take four columns: the caret is under column 7 of the screen.
    assert shown[1].splitlines()[3:5] == ["2 | 名字: x", "  |       ^"]
    # Two accents of no width: the caret is under column 5 of the screen.
    assert shown[2].splitlines()[3:5] == ["3 | e\u0301e\u0301: x", "  |     ^"]


def test_user_text_cannot_reach_the_terminal_as_a_command() -> None:
    evil = "\x1b[2J\x07\x9b\u202e"
    found = Diagnostic(
        "TST-001",
        evil,
        Severity.ERROR,
        f"message {evil}\nnext",
        (Label(span(1, 1, 2, evil), evil, primary=True),),
        (f"note {evil}\nsecond line",),
        (Help(f"help {evil}", "signal/1", f"4k7 {evil}"),),
    )
    for colour in (False, True):
        shown = render_text([found], {evil: f"{evil}: 1"}, colour=colour)
        bare = shown.replace("\x1b[", "").replace("\n", "") if colour else shown.replace("\n", "")
        assert not [char for char in bare if ord(char) < 32 or 127 <= ord(char) < 160 or char == "\u202e"]
        assert "\\x1b[2J\\x07\\x9b\\u202e" in shown
    plain = render_text([found], {evil: f"{evil}: 1"})
    assert plain.splitlines()[0] == "error[TST-001]: message \\x1b[2J\\x07\\x9b\\u202e\\x0anext"
    assert "  = note: note \\x1b[2J\\x07\\x9b\\u202e\n          second line\n" in plain


def test_colour_only_adds_escapes() -> None:
    import re

    plain, coloured = (render_text([HEATER], {"build.amp.yaml": SPEC}, colour=c) for c in (False, True))
    assert coloured != plain
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain


def test_without_a_place_or_without_the_text() -> None:
    nowhere = one(())
    assert render_text([nowhere], {}) == "error[TST-001]: something is wrong\n  = rule: some-rule (humdinger explain TST-001)\n"
    unseen = one((Label(span(3, 1, 2, "gone"), primary=True),))
    assert render_text([unseen], {}) == (
        "error[TST-001]: something is wrong\n --> gone:3:1\n  = rule: some-rule (humdinger explain TST-001)\n"
    )


def test_a_span_beyond_the_end_of_line_or_file_still_shows_a_caret() -> None:
    for line, column, end in ((1, 50, 60), (9, 1, 2), (1, 3, 3), (1, 4, 2)):
        shown = render_text([one((Label(span(line, column, end, "f"), primary=True),))], {"f": "a: 1"})
        assert shown.count("^") == 1


def test_a_span_over_several_lines_is_underlined_to_the_end_of_its_first() -> None:
    label = Label(Span("f", 1, 1, 3, 2), primary=True)
    assert render_text([one((label,))], {"f": "a: [1,\n\n2]"}).splitlines()[3:5] == ["1 | a: [1,", "  | ^^^^^^"]


def test_a_very_long_line_is_cut_around_its_underline() -> None:
    row = "x" * 5000 + " BAD " + "y" * 5000
    shown = render_text([one((Label(span(1, 5002, 5005, "f"), primary=True),))], {"f": row})
    source, underline = shown.splitlines()[3:5]
    assert len(source) <= 4 + 160
    start = underline.index("^")
    assert source[start : start + 3] == "BAD"
    assert source.startswith("1 | …")
    assert source.endswith("…")


def test_a_long_line_of_wide_characters_is_cut_by_screen_columns() -> None:
    row = "漢" * 300 + "X"
    shown = render_text([one((Label(span(1, 301, 302, "f"), primary=True),))], {"f": row})
    source, underline = (line[4:] for line in shown.splitlines()[3:5])
    before = source[: source.index("X")]
    assert before.startswith("… 漢")
    assert underline.index("^") == len(before) + before.count("漢")  # the wide ones count twice


def test_several_diagnostics_have_a_blank_line_between() -> None:
    shown = render_text([one(()), one(())], {})
    assert shown.count("\n\n") == 1
    assert render_text([], {}) == ""


def test_a_proven_replacement_is_shown() -> None:
    found = one((), helps=(Help("a larger resistor passes", "signal/1/plate_load", "150k"),))
    assert "= help: a larger resistor passes (write `150k` at signal/1/plate_load)\n" in render_text([found], {})


def test_windows_line_ends_do_not_shift_anything() -> None:
    shown = render_text([one((Label(span(2, 1, 2, "f"), primary=True),))], {"f": "a: 1\r\nb: 2\r\n"})
    assert "2 | b: 2\n" in shown
