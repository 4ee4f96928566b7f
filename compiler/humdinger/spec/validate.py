"""The schema pass: every place where the spec does not have the shape of the language, in a builder's words.

The schema in `schemas/` is the law and the same file serves the editor; the walk is our own. It needs no message translated, it gives
lines for free, and it saves a tenth of a second of imports. Tests compare its verdict with the jsonschema package on every spec there is.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from ..diagnostics import Diagnostic, Help, Label, Severity, Span, nearest
from ..records import replace
from ..source.tree import Entry, Mapping, Node, Scalar, Sequence
from . import words
from .grammar import Grammar, Rule, cut_at_comma, grammar, scalar_fault, shape, types
from .merge import merged

if TYPE_CHECKING:
    from ..source.load import Source

_OTHER_FILE = "humdinger-"
"""How the first key of a file that is not a spec begins."""

_FILES = ("shop", "parts", "spec")
"""The kinds of files a spec can include; "spec" is a piece of a spec and has no such key."""


def validate(source: Source) -> tuple[Source | None, tuple[Diagnostic, ...]]:
    """All schema errors of the spec as merged with its includes, and of the shop file, in reading order.

    The source comes back even with errors, so that the next passes can report theirs in the same run; they leave alone what was
    reported here, and the barrier after `resolve` stops the run. None only when there is no mapping to work on.
    """
    spec, shop = merged(source)
    check = _Check(grammar("amp"))
    for key in (entry.key for entry in source.root.entries if entry.key.text.startswith(_OTHER_FILE)):
        kind = words.cut(key.text.removeprefix(_OTHER_FILE))
        check.say(
            "SCH-012", "wrong-file", f"this is a {kind} file, not an amp spec", key.span, helps=["give the amp's own file: NAME.amp.yaml"]
        )
        return None, tuple(check.found)
    for file in source.includes:
        if file.kind not in _FILES:
            key = next(entry.key for entry in file.root.entries if entry.key.text.startswith(_OTHER_FILE))
            near = nearest(file.kind, _FILES)
            helps = [f"did you mean `{_OTHER_FILE}{near}`?"] if near else []
            check.say("SCH-012", "wrong-file", f"`{words.cut(key.text)}` is not a kind of file a spec can include", key.span, helps=helps)
    check.mapping(_without_include(spec), check.guide.root, "", spec.span)
    found = check.found
    if shop is not None:
        house = _Check(grammar("shop"))
        house.mapping(_without_include(shop), house.guide.root, "", shop.span)
        found += house.found
    return source, tuple(sorted(found, key=_place))


def _without_include(root: Mapping) -> Mapping:
    """`include` was judged when it was followed."""
    return Mapping(tuple(entry for entry in root.entries if entry.key.text != "include"), root.span)


def _place(diagnostic: Diagnostic) -> tuple[str, int, int, str]:
    span = diagnostic.primary.span if diagnostic.primary else Span("", 0, 0, 0, 0)
    return span.file, span.line, span.column, diagnostic.code


class _Check:
    """One walk over one tree."""

    def __init__(self, guide: Grammar) -> None:
        self.guide = guide
        self.found: list[Diagnostic] = []

    def node(self, node: Node, rule: Rule, path: str, name: Span) -> None:
        """Any value; `name` is what to underline when the value as a whole is at fault."""
        allowed = types(rule)
        if isinstance(node, Scalar):
            self.scalar(node, rule, path)
        elif isinstance(node, Mapping):
            if "object" in allowed:
                self.mapping(node, rule, path, name)
            else:
                self.wrong_shape(node, rule, path, name)
        elif "array" in allowed:
            self.sequence(node, rule, path, name)
        else:
            self.wrong_shape(node, rule, path, name)

    def mapping(self, node: Mapping, rule: Rule, path: str, name: Span) -> None:
        """Keys known, keys missing, then each value. When the kind is not known its keys are not judged."""
        choice = rule.get("x-choice")
        if choice and not self.choice(node, rule, choice, path, name):
            return
        rules = self.guide.rules(rule, node)
        meant: set[str] = set()
        cut = cut_at_comma(node)
        for number, entry in enumerate(node.entries):
            key = entry.key.text
            below = self.guide.under(rules, key)
            if number in cut and below is not None:
                self.decimal_comma(entry, node.entries[number + 1])
            elif number - 1 in cut:
                continue
            elif below is None:
                meant.add(self.unknown_key(entry, node, rules, path))
            else:
                self.node(entry.value, below, words.join(path, key), entry.key.span)
        missing = [(key, why) for key, why in self.guide.missing(rules, node) if key not in meant]
        if missing:
            self.missing_keys(missing, rules, words.this(path, node), _anchor(node, path, name))
        if len(node.entries) < rule.get("minProperties", 0):
            self.say("SCH-007", "wrong-count", f"{words.title(path)} is empty", name, helps=[words.example_help(path, rule)])

    def choice(self, node: Mapping, rule: Rule, key: str, path: str, name: Span) -> bool:
        """The key whose word decides which others follow; False when it is absent or not known."""
        below = self.guide.rule(rule["properties"][key])
        entry = next((e for e in node.entries if e.key.text == key), None)
        if entry is None:
            near = next((e for e in node.entries if nearest(e.key.text, (key,))), None)
            if near:
                self.unknown_key(near, node, (rule,), path, (key,))
            else:
                self.missing_keys([(key, rule["x-needed"][key])], (rule,), words.this(path, node), _anchor(node, path, name))
            return False
        if isinstance(entry.value, Scalar) and scalar_fault(self.guide, entry.value, below) is None:
            return True
        if key == "stage" and isinstance(entry.value, Scalar) and entry.value.text:
            self.unknown_word(entry.value, below, "SCH-009", "unknown-stage", f"{words.quoted(entry.value)} is not a kind of stage")
        else:
            self.node(entry.value, below, words.join(path, key), entry.key.span)
        return False

    def sequence(self, node: Sequence, rule: Rule, path: str, name: Span) -> None:
        count, low, high = len(node.items), rule.get("minItems", 0), rule.get("maxItems")
        if count < low or (high is not None and count > high):
            want = words.amount(low, high)
            self.say(
                "SCH-007",
                "wrong-count",
                f"{words.title(path)} has {words.entries(count)}, not {want}",
                name,
                helps=[words.example_help(path, rule)],
            )
        below = self.guide.rule(rule["items"])
        for number, item in enumerate(node.items):
            self.node(item, below, words.join(path, str(number)), item.span)

    def scalar(self, node: Scalar, rule: Rule, path: str) -> None:
        fault = scalar_fault(self.guide, node, rule)
        text, title = words.quoted(node), words.title(path)
        if fault is None:
            return
        if fault == "shape":
            self.wrong_shape(node, rule, path, node.span)
        elif fault == "empty":
            self.say("SCH-011", "empty-value", f"{title} has no value", node.span, helps=[words.example_help(path, rule)])
        elif fault == "kind":
            self.wrong_kind(node, rule, path)
        elif fault == "word" and path == "humdinger":
            self.say(
                "SCH-010",
                "unknown-version",
                f"{text} is not a version of the language this compiler reads",
                node.span,
                helps=["write humdinger: 1"],
            )
        elif fault == "word":
            self.unknown_word(node, rule, "SCH-005", "unknown-word", f"{text} is not a word {title} takes")
        elif fault == "pattern":
            self.say(
                "SCH-006", "wrong-form", f"{text} does not have the form of {title}", node.span, helps=[f"write {rule['x-pattern-words']}"]
            )
        else:
            low, high = rule.get("minimum"), rule.get("maximum")
            want = f"from {low} to {high}" if high is not None else f"{low} or more"
            self.say("SCH-008", "out-of-range", f"{title} is {node.text}, not {want}", node.span)

    # -- what is said -------------------------------------------------------------------------------------------
    def unknown_key(self, entry: Entry, node: Mapping, rules: tuple[Rule, ...], path: str, known: Iterable[str] = ()) -> str:
        """Reports a key the mapping does not have; returns the key that was meant, "" when none is near."""
        key = entry.key.text
        known = tuple(known) or self.guide.keys(rules)
        forms = words.other_forms(key) if any("x-key-words" in rule for rule in rules) else ()
        meant = nearest(key, known) or next((form for form in forms if self.guide.under(rules, form)), "")
        where = words.owner(path, node)
        notes: list[str] = []
        helps: list[str] = []
        if meant:
            helps.append(f"did you mean `{meant}`?")
        elif elsewhere := self.elsewhere(key, rules):
            notes.append(elsewhere)
        elif form := next((rule["x-key-words"] for rule in rules if "x-key-words" in rule), ""):
            helps.append(f"its form is {form}")
        elif known:
            notes.append(f"{where} knows {words.listed(known)}")
        self.say("SCH-002", "unknown-key", f"`{words.cut(key)}` is not a key of {where}", entry.key.span, notes=notes, helps=helps)
        present = {e.key.text for e in node.entries}
        return meant if meant not in present else ""

    def decimal_comma(self, entry: Entry, rest: Entry) -> None:
        """Reports `current: 1,5 A` inside braces, where YAML ends a value at the comma."""
        assert isinstance(entry.value, Scalar)
        whole, tail = entry.value.text, rest.key.text
        span = replace(entry.value.span, end_line=rest.key.span.end_line, end_column=rest.key.span.end_column)
        message = f"`{words.cut(entry.key.text)}` has a decimal comma: '{words.cut(f'{whole},{tail}')}' is read as '{words.cut(whole)}'"
        helps = [f"write {words.cut(f'{whole}.{tail}')}"]
        notes = ["a comma ends a value between braces"]
        self.say("SCH-006", "wrong-form", message, span, notes=notes, helps=helps)

    def elsewhere(self, key: str, rules: tuple[Rule, ...]) -> str:
        """Where a key that is unknown here does belong: another stage kind or another scheme."""
        base = rules[0]
        kinds = []
        for condition in base.get("allOf", ()) if "x-choice" in base else ():
            if key in self.guide.rule(condition["then"]).get("properties", {}):
                kinds.extend(f"`{word}: {want['const']}`" for word, want in condition["if"]["properties"].items())
        return f"`{key}` belongs to {words.alternatives(kinds)}" if kinds else ""

    def missing_keys(self, missing: list[tuple[str, str]], rules: tuple[Rule, ...], where: str, span: Span) -> None:
        keys = [key for key, _ in missing]
        notes = [f"`{key}`: {why}" for key, why in missing if why]
        helps = []
        # The cures stand beside the keys and not in them: an editor's server takes a `$ref` with an unknown word beside it for two rules.
        cures = {key: cure for rule in rules for key, cure in rule.get("x-cures", {}).items()}
        for key in keys:
            below = self.guide.under(rules, key)
            if below:
                helps.append(str(cures.get(key, f"add `{key}: {words.example(below)}`")))
        verb = "is" if len(keys) == 1 else "are"
        message = f"{words.listed(f'`{key}`' for key in keys)} {verb} missing from {where}"
        self.say("SCH-001", "missing-key", message, span, notes=notes, helps=helps if len(helps) <= 3 else [])

    def wrong_shape(self, node: Node, rule: Rule, path: str, span: Span) -> None:
        message = f"{words.title(path)} is {words.SHAPES[shape(node)]}, not {words.shapes(types(rule))}"
        self.say("SCH-003", "wrong-shape", message, span, helps=[words.example_help(path, rule)])

    def wrong_kind(self, node: Scalar, rule: Rule, path: str) -> None:
        allowed = types(rule)
        helps = []
        if "boolean" in allowed:
            want = "true or false"
            meant = words.TRUTH.get(node.text.casefold())
            helps = [f"write {meant}"] if meant else []
        else:
            want = "a whole number" if "integer" in allowed else "a number"
            if node.quoted:
                helps = ["write it without quotes"]
        self.say("SCH-004", "wrong-kind", f"{words.title(path)} is {words.quoted(node)}, not {want}", node.span, helps=helps)

    def unknown_word(self, node: Scalar, rule: Rule, code: str, name: str, message: str) -> None:
        known = [str(word) for word in rule.get("enum", [rule.get("const")])]
        meant = rule.get("x-also", {}).get(node.text.strip().casefold()) or nearest(node.text, known)
        helps = [f"did you mean `{meant}`?"] if meant else []
        self.say(
            code,
            name,
            message,
            node.span,
            notes=[f"it is one of {words.alternatives(known)}" if len(known) > 1 else f"it can only be {known[0]}"],
            helps=helps,
        )

    def say(self, code: str, rule: str, message: str, span: Span, *, notes: Iterable[str] = (), helps: Iterable[str] = ()) -> None:
        self.found.append(
            Diagnostic(
                code, rule, Severity.ERROR, message, (Label(span, "", True),), tuple(notes), tuple(Help(text) for text in helps if text)
            )
        )


def _anchor(node: Mapping, path: str, name: Span) -> Span:
    """What to underline when keys are missing: the key the mapping stands under, or its first entry when it is a list item or the root."""
    last = path.rpartition("/")[2]
    if node.entries and (not path or last.isdigit()):
        return node.entries[0].key.span
    return name
