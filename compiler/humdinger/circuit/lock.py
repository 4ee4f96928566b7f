"""The lock file: which part has which designator, so that a change of the spec renumbers nothing.

`NAME.lock.yaml` stands beside the spec and is written by `compile` only. `parts` maps the place of a part to its designator; a place is a
spec path in which list positions are replaced by names where the items have one ("signal/first/plate_load", "supply/filter/B2/through"),
so that a stage put in the middle moves no other. `retired` keeps the numbers of parts that are gone: they are on paper somewhere, and are
never given again, unless the part comes back or `refs` of the spec asks for one.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterable, Mapping
from dataclasses import field

from ..diagnostics import Diagnostic, Help, Label, Severity, Span
from ..records import record
from ..source.build import build_tree
from ..source.load import name_of
from ..source.text import LARGEST_FILE, decode
from ..source.tree import Entry, Node, Scalar
from ..source.tree import Mapping as Tree
from ..source.world import World
from ..spec.model import Block

FORMAT = "1"
DESIGNATOR = re.compile(r"[A-Z]{1,2}[1-9][0-9]{0,4}")
"""As `refs` of the spec takes them."""

LONGEST_PLACE = 200
PLACE = re.compile(rf"[A-Za-z0-9_][A-Za-z0-9_/~-]{{0,{LONGEST_PLACE - 1}}}")
RULES = {"LCK-001": "broken-lock-file", "LCK-002": "lock-of-another-spec", "LCK-003": "designators-change", "LCK-004": "lock-not-written"}
HEAD = """\
# Which part has which designator. Written by `humdinger compile`; keep it beside the spec and under version control, so that a change of
# the spec renumbers nothing. Numbers under `retired` belong to parts that are gone and are never given to another part.
"""


@record
class Lock:
    """parts: place -> designator. retired: designator -> the place it stood at. text: the file as read, "" when there is none."""

    path: str = ""
    parts: Mapping[str, str] = field(default_factory=dict)
    retired: Mapping[str, str] = field(default_factory=dict)
    spans: Mapping[str, Span] = field(default_factory=dict)
    text: str = ""

    @property
    def exists(self) -> bool:
        """Whether there is a file."""
        return bool(self.text)

    def wanted(self, place: str) -> str | None:
        """The designator of the part at a place; of a part that comes back, the one it had."""
        if place in self.parts:
            return self.parts[place]
        return next((ref for ref, where in self.retired.items() if where == place), None)

    @property
    def numbers(self) -> frozenset[str]:
        """Every designator that is or was given."""
        return frozenset((*self.parts.values(), *self.retired))


NO_LOCK = Lock()


def places(spec: Block) -> dict[str, str]:
    """Path of a list item that has a name -> its place: {"signal/1": "signal/first", "supply/filter/0": "supply/filter/B1"}."""
    found = {block.path: f"signal/{block.get('id')}" for block in spec.blocks("signal") if block.get("id")}
    for stage in spec.blocks("signal"):
        for block in stage.blocks("parts"):
            if stage.get("id") and block.get("name"):
                found[block.path] = f"signal/{stage.get('id')}/parts/{block.get('name')}"
        for block in stage.blocks("inputs"):
            if stage.get("id") and block.get("from"):
                found[block.path] = f"signal/{stage.get('id')}/inputs/{block.get('from')}"
    for block in spec.block("supply").blocks("filter"):
        if block.get("node"):
            found[block.path] = f"supply/filter/{block.get('node')}"
    return found


def place_of(path: str, named: Mapping[str, str]) -> str:
    """The place of a spec path."""
    steps = path.split("/")
    for depth in (4, 3, 2):
        head = "/".join(steps[:depth])
        if head in named:
            path = "/".join((named[head], *steps[depth:]))
            break
    if len(path) <= LONGEST_PLACE:
        return path
    from hashlib import sha256

    # the key of a YAML mapping has an end, an id of a stage has none
    return f"{path[: LONGEST_PLACE - 17]}~{sha256(path.encode()).hexdigest()[:16]}"


def after(lock: Lock, given: Mapping[str, str]) -> Lock:
    """The lock once the parts are numbered as given (place -> designator): what is there, and what was there and may not come again."""
    taken = set(given.values())
    retired = {ref: place for ref, place in lock.retired.items() if ref not in taken}
    retired |= {ref: place for place, ref in lock.parts.items() if ref not in taken}
    return Lock(lock.path, dict(given), retired)


def lock_text(lock: Lock, spec: str) -> str:
    """The file: sorted, one line per part. spec: the file name of the spec it belongs to."""
    lines = [HEAD, f"humdinger-lock: {FORMAT}\n"]
    if spec.isprintable():
        quoted = spec.replace("\\", "\\\\").replace('"', '\\"')
        lines.append(f'spec: "{quoted}"\n')
    lines.append("parts:\n" if lock.parts else "parts: {}\n")
    lines += [f"  {place}: {ref}\n" for place, ref in sorted(lock.parts.items())]
    if lock.retired:
        lines.append("retired:\n")
        lines += [f"  {ref}: {lock.retired[ref]}\n" for ref in sorted(lock.retired, key=number_order)]
    return "".join(lines)


def number_order(ref: str) -> tuple[str, int]:
    """C1, C2 ... C10, D1."""
    letters = ref.rstrip("0123456789")
    return letters, int(ref[len(letters) :] or 0)


def lock_path(world: World, spec: str) -> str:
    """Where the lock of a spec stands: beside the file itself, also when the spec is reached through a link."""
    real = world.resolve(spec)
    folder = posixpath.dirname(spec)
    if posixpath.join(world.resolve(folder or "."), posixpath.basename(spec)) == real:
        return posixpath.join(folder, f"{name_of(spec)}.lock.yaml")
    return posixpath.join(posixpath.dirname(real), f"{name_of(real)}.lock.yaml")


def read_lock(world: World, spec: str) -> tuple[Lock | None, tuple[Diagnostic, ...], Mapping[str, str]]:
    """The lock of a spec (an empty one when there is no file), diagnostics, and the text for the renderers. None: it cannot be used."""
    path = lock_path(world, spec)
    if not world.exists(path):
        return Lock(path), (), {}
    if world.resolve(path) != posixpath.join(world.resolve(posixpath.dirname(path) or "."), posixpath.basename(path)):
        return None, (problem("LCK-001", f"the lock file {path} is a link", cure="put the file itself beside the spec"),), {}
    try:
        data = world.read_bytes(path, LARGEST_FILE + 1)
    except (OSError, ValueError):
        return None, (problem("LCK-001", f"the lock file {path} cannot be read", cure="make it readable, or restore it from a backup"),), {}
    text, shown, found = decode(path, data)
    texts = {path: shown}
    if text is None:
        return None, found, texts
    tree, said = build_tree(path, text)
    if tree is None:
        return None, found + said, texts
    reader = _Reader(path)
    lock = reader.lock(tree, text)
    said += tuple(reader.found)
    if not said:
        said = _foreign(world, spec, path, tree)
    return (None if said else lock), found + said, texts


def _foreign(world: World, spec: str, path: str, tree: Node) -> tuple[Diagnostic, ...]:
    """Two specs of one name in one folder (amp.yaml, amp.amp.yaml) may not share a lock. One renamed or copied with its lock may."""
    named = tree.get("spec") if isinstance(tree, Tree) else None
    own = posixpath.basename(world.resolve(spec))
    if not isinstance(named, Scalar) or named.text == own or name_of(named.text) != name_of(own) or "/" in named.text:
        return ()
    if not world.is_file(posixpath.join(posixpath.dirname(path), named.text)):
        return ()
    message = f"the lock file belongs to {named.text}, which stands beside {own}"
    return (problem("LCK-002", message, named.span, "not this spec", cure="give one of the two specs another name"),)


class _Reader:
    """The lock of a tree, and what is wrong with it."""

    def __init__(self, path: str) -> None:
        self.path = path
        self.found: list[Diagnostic] = []

    def lock(self, tree: Node, text: str) -> Lock:
        """The lock; only to be used when nothing was found."""
        if not isinstance(tree, Tree):
            self._wrong("the lock file is not a mapping", tree.span)
            return NO_LOCK
        version = tree.get("humdinger-lock")
        if not isinstance(version, Scalar) or version.text != FORMAT:
            self._wrong(f"the lock file is not of format {FORMAT}", version.span if version else tree.span, "`humdinger-lock: 1` is wanted")
            return NO_LOCK
        for entry in tree.entries:
            if entry.key.text not in ("humdinger-lock", "spec", "parts", "retired"):
                self._wrong("the lock file has a key that is not its own", entry.key.span, "parts and retired is all there is")
        seen: dict[str, Span] = {}
        parts: dict[str, str] = {}
        retired: dict[str, str] = {}
        spans: dict[str, Span] = {}
        for entry in self._rows(tree, "parts"):
            place, ref, span = entry.key.text, self._scalar(entry), entry.value.span
            if self._fits(PLACE, place, entry.key.span, "no place of a part") and self._number(ref, span, seen):
                parts[place] = ref
                spans[place] = span
        for entry in self._rows(tree, "retired"):
            ref, place = entry.key.text, self._scalar(entry)
            if self._fits(PLACE, place, entry.value.span, "no place of a part") and self._number(ref, entry.key.span, seen):
                retired[ref] = place
                spans.setdefault(place, entry.key.span)
        return Lock(self.path, parts, retired, spans, text)

    def _rows(self, tree: Tree, key: str) -> Iterable[Entry]:
        found = tree.get(key)
        if found is None:
            return ()
        if isinstance(found, Tree):
            return found.entries
        self._wrong(f"`{key}` of the lock file is not a mapping", found.span)
        return ()

    def _scalar(self, entry: Entry) -> str:
        if isinstance(entry.value, Scalar):
            return entry.value.text
        self._wrong("the lock file has a list or a mapping where one word is wanted", entry.value.span)
        return ""

    def _fits(self, pattern: re.Pattern[str], text: str, span: Span, what: str) -> bool:
        if pattern.fullmatch(text):
            return True
        if text:
            self._wrong(f"the lock file has {what} where one is wanted", span)
        return False

    def _number(self, ref: str, span: Span, seen: dict[str, Span]) -> bool:
        if not self._fits(DESIGNATOR, ref, span, "no designator"):
            return False
        if ref in seen:
            self._wrong(f"the lock file gives {ref} twice", span, "given again", (Label(seen[ref], "the first one"),))
            return False
        seen[ref] = span
        return True

    def _wrong(self, message: str, span: Span, label: str = "", others: tuple[Label, ...] = ()) -> None:
        self.found.append(problem("LCK-001", message, span, label, others=others))


def changes(old: Lock, new: Lock) -> str:
    """What became of the numbers, in words; "" when nothing did."""
    fresh = [ref for place, ref in new.parts.items() if old.parts.get(place) != ref]
    gone = [ref for ref in new.retired if ref not in old.retired]
    said = [
        f"{len(refs)} {word} ({', '.join(sorted(refs, key=number_order)[:8])}{' ...' if len(refs) > 8 else ''})"
        for word, refs in (("new", fresh), ("retired", gone))
        if refs
    ]
    return ", ".join(said)


def held(old: Lock, new: Lock, spans: Mapping[str, Span]) -> tuple[Diagnostic, ...]:
    """What --locked has to say: nothing when the numbers are as they were. spans: designator -> line of the spec."""
    if old.parts == new.parts and old.retired == new.retired:
        return ()
    if not old.exists:
        message = f"there is no lock file {old.path}"
        return (problem("LCK-003", message, cure="compile once without --locked and keep the file that it writes"),)
    fresh = [Label(spans[ref], f"would be {ref}") for place, ref in new.parts.items() if old.parts.get(place) != ref and ref in spans]
    gone = [Label(old.spans[place], f"{ref} has no part any more") for place, ref in old.parts.items() if place not in new.parts]
    first, *rest = [*fresh, *gone] or [None]
    message = f"the lock file would change: {changes(old, new) or 'a retired number was given'}"
    cure = "compile without --locked, look at what has changed, and keep the lock file"
    others = tuple(label for label in rest[:4] if label)
    return (problem("LCK-003", message, first.span if first else None, first.text if first else "", cure=cure, others=others),)


CURE = "restore the file from version control; without it every part is numbered anew"


def problem(
    code: str,
    message: str,
    span: Span | None = None,
    label: str = "",
    *,
    cure: str = CURE,
    notes: tuple[str, ...] = (),
    others: tuple[Label, ...] = (),
    severity: Severity = Severity.ERROR,
) -> Diagnostic:
    """A diagnostic about the lock file."""
    labels = (Label(span, label, True), *others) if span else ()
    return Diagnostic(code, RULES[code], severity, message, labels, notes, (Help(cure),))
