"""`humdinger fit-tube`: a file of readings -> a library entry, with everything that is doubtful about it. Prints and writes nothing."""

from __future__ import annotations

import posixpath
from collections.abc import Mapping
from dataclasses import field
from typing import TYPE_CHECKING

from .diagnostics import Diagnostic, Help, Label, Severity
from .records import record

if TYPE_CHECKING:
    from .analysis.fit_own import OwnFit
    from .parts.fit_file import FitFile
    from .source.world import World


@record
class Fitted:
    """How far a file got. report: the fit in words; entry: the text of the parts file; texts: for the renderers."""

    path: str
    file: FitFile | None = None
    own: OwnFit | None = None
    report: str = ""
    entry: str = ""
    texts: Mapping[str, str] = field(default_factory=dict)
    diagnostics: tuple[Diagnostic, ...] = ()

    @property
    def broken(self) -> bool:
        """Whether something is wrong that leaves no entry."""
        return not self.entry


def entry_path(path: str) -> str:
    """Where the entry of a file goes: "6n1p.parts.yaml" beside "6n1p.fit.yaml"."""
    folder, name = posixpath.split(path)
    stem = name.removesuffix(".yml").removesuffix(".yaml").removesuffix(".fit") or "tube"
    return posixpath.join(folder, f"{stem}.parts.yaml")


def is_ours(world: World, path: str) -> bool:
    """Whether a file may be written: it is not there yet, or a fit has written it."""
    from .analysis.fit_entry import MARK

    if not world.exists(path):
        return True
    try:
        return world.read_bytes(path, len(MARK)) == MARK.encode()
    except (OSError, ValueError):
        return False


def fitted(world: World, path: str) -> Fitted:
    """Reads the file, fits, and makes the entry. A file that cannot be read is a diagnostic like any other."""
    from .parts.fit_file import read_fit_file
    from .parts.library import Library
    from .source.build import build_tree
    from .source.faults import fault
    from .source.text import LARGEST_FILE, decode
    from .source.tree import Mapping as Tree

    try:
        data = world.read_bytes(path, LARGEST_FILE + 1)
    except (OSError, ValueError):
        return Fitted(path, diagnostics=(fault("SRC-001", f"the file {path} cannot be read", None, cure="check the path"),))
    text, shown, said = decode(path, data)
    texts = {path: shown}
    if text is None:
        return Fitted(path, texts=texts, diagnostics=said)
    tree, more = build_tree(path, text)
    said += more
    if not isinstance(tree, Tree):
        if tree is not None:
            said += (
                fault("SRC-017", "the file holds no keys with values", tree.span, cure="start with `humdinger-fit: 1` at the left margin"),
            )
        return Fitted(path, texts=texts, diagnostics=said)
    file, more = read_fit_file(tree, Library())
    said += more
    if file is None or any(d.severity is Severity.ERROR for d in said):
        return Fitted(path, texts=texts, diagnostics=said)
    return _fitted(path, file, texts, said)


def _fitted(path: str, file: FitFile, texts: Mapping[str, str], said: tuple[Diagnostic, ...]) -> Fitted:
    from .analysis.fit_entry import entry_of, entry_text, fit_text
    from .analysis.fit_own import fit_own
    from .parts.faults import PARTS_CODES

    own, more = fit_own(file)
    said += more
    if own is None:
        return Fitted(path, file, texts=texts, diagnostics=said)
    data, faults = entry_of(file, own)
    for one in faults:
        label = Label(file.span(("part", *one.path)), "", True)
        helps = (Help(one.help),) if one.help else ()
        said += (Diagnostic(one.code, PARTS_CODES[one.code].rule, Severity.ERROR, one.message, (label,), helps=helps),)
    entry = entry_text(file, data, posixpath.basename(path)) if data is not None and not faults else ""
    return Fitted(path, file, own, fit_text(file, own), entry, texts, said)
