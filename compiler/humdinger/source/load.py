"""From a path to the trees of a spec and all it includes.

The trees are delivered, not merged: the spec wins over an include, and a later include over an earlier one, when
spec/ puts them together.
"""

from __future__ import annotations

import posixpath
from collections.abc import Mapping as MappingOf
from types import MappingProxyType

from ..diagnostics import Diagnostic, nearest
from ..records import record
from .build import build_tree
from .faults import fault
from .override import Override
from .text import LARGEST_FILE, decode
from .tree import Mapping, Scalar, Sequence
from .world import World

SHOP_FILE = "shop.yaml"
DEEPEST_INCLUDE = 4
MOST_INCLUDES = 32


@record
class Included:
    """An included file. kind: what its `humdinger-KIND` key says ("shop", "parts"), else "spec" for a piece of a spec."""

    path: str
    root: Mapping
    kind: str


@record
class Source:
    """A spec as read.

    path: as the user gave it, and as it stands in every span. root: the spec's own tree, with its `include` key.
    includes: the weakest first; each may be overruled by what comes after it, and all by the spec.
    texts: the text of every file read, by the path in its spans. shop_root: the folder no include may leave.
    overrides: what the command line puts over it all.
    """

    path: str
    root: Mapping
    includes: tuple[Included, ...]
    texts: MappingOf[str, str]
    shop_root: str
    overrides: tuple[Override, ...] = ()


def load(world: World, path: str) -> tuple[Source | None, tuple[Diagnostic, ...]]:
    """Read a spec and its includes. None when the spec itself has no tree; faults of includes leave the rest standing."""
    source, found, _ = load_with_texts(world, path)
    return source, found


def load_with_texts(world: World, path: str) -> tuple[Source | None, tuple[Diagnostic, ...], MappingOf[str, str]]:
    """As `load`, with the texts of the files also when there is no Source, for showing the lines of its diagnostics."""
    reader = _Reader(world, path)
    root = reader.main()
    texts = MappingProxyType(dict(reader.texts))
    if root is None:
        return None, tuple(reader.found), texts
    return Source(path, root, tuple(reader.includes), texts, reader.root), tuple(reader.found), texts


class _Reader:
    """The files read so far and what was found in them."""

    def __init__(self, world: World, path: str) -> None:
        self.world = world
        self.path = path
        self.texts: dict[str, str] = {}
        self.found: list[Diagnostic] = []
        self.includes: list[Included] = []
        self.seen: set[str] = set()
        self.root = ""

    def main(self) -> Mapping | None:
        """The spec's own tree; its includes are gathered on the way."""
        data = self._read(self.path)
        if isinstance(data, str):
            self.found.append(fault("SRC-001", f"the spec {self.path} cannot be read: {data}", None, cure=self._near_file(self.path)))
            return None
        real = self.world.resolve(self.path)
        self.root = find_root(self.world, real)
        root = self._parse(self.path, data)
        if root is not None:
            self._include_all(root, self.path, (real,))
        return root

    def _read(self, path: str) -> bytes | str:
        """The bytes of a file, or why there are none."""
        try:
            return self.world.read_bytes(path, LARGEST_FILE + 1)
        except FileNotFoundError:
            return "there is no such file"
        except IsADirectoryError:
            return "it is a folder"
        except PermissionError:
            return "this user may not read it"
        except (OSError, ValueError):
            return "it is not a readable file"

    def _parse(self, path: str, data: bytes) -> Mapping | None:
        text, shown, found = decode(path, data)
        self.texts[path] = shown
        self.found.extend(found)
        if text is None:
            return None
        tree, found = build_tree(path, text)
        self.found.extend(found)
        if tree is None or isinstance(tree, Mapping):
            return tree
        what = "a list" if isinstance(tree, Sequence) else "a single text"
        self.found.append(
            fault(
                "SRC-017",
                f"the file holds {what} instead of keys with values",
                tree.span,
                cure="start with `humdinger: 1` at the left margin",
            )
        )
        return None

    def _include_all(self, root: Mapping, path: str, chain: tuple[str, ...]) -> None:
        """Bring in what one file's `include` names; `chain` are the resolved files that led here, the spec first."""
        asked = root.get("include")
        if asked is None:
            return
        if not isinstance(asked, Sequence):
            key = next(entry.key for entry in root.entries if entry.key.text == "include")
            self.found.append(fault("SRC-020", "`include` is not a list", key.span, cure="write a list: `include: [../shop.yaml]`"))
            return
        for item in asked.items:
            if not isinstance(item, Scalar) or not item.text.strip():
                self.found.append(fault("SRC-020", "an include is not a file name", item.span, cure="write a path like ../shop.yaml"))
            else:
                self._include(item, path, chain)

    def _include(self, item: Scalar, path: str, chain: tuple[str, ...]) -> None:
        if item.text.startswith(("/", "~", "\\")) or ":" in item.text:
            cure = "write a path relative to this file, like ../shop.yaml"
            self.found.append(fault("SRC-022", f"the include '{item.text}' is not a relative path", item.span, cure=cure))
            return
        shown = posixpath.normpath(posixpath.join(posixpath.dirname(path), item.text))
        real = self.world.resolve(posixpath.join(posixpath.dirname(chain[-1]), item.text))
        problem = self._refusal(item, real, chain)
        if problem:
            self.found.append(problem)
            return
        if real in self.seen:
            return
        self.seen.add(real)
        # Behind a linked spec two files could come out under one shown path.
        shown = real if shown in self.texts else shown
        data = self._read(real)
        if isinstance(data, str):
            message = f"the include '{item.text}' cannot be read: {data}"
            self.found.append(fault("SRC-021", message, item.span, cure=self._near_file(real)))
            return
        root = self._parse(shown, data)
        if root is not None:
            self._include_all(root, shown, (*chain, real))
            self.includes.append(Included(shown, root, _kind(root)))

    def _refusal(self, item: Scalar, real: str, chain: tuple[str, ...]) -> Diagnostic | None:
        """Why a file may not be included, before it is looked at."""
        if not _inside(real, self.root):
            note = f"the root is {self.root}: the nearest folder above the spec with a {SHOP_FILE}, else the spec's own"
            cure = f"move the file under the root, or put a {SHOP_FILE} in a folder above both"
            return fault("SRC-022", f"the include '{item.text}' lies outside the root", item.span, cure=cure, note=note)
        if real in chain:
            what = "itself" if real == chain[-1] else "a file that includes this one"
            return fault("SRC-023", f"the include '{item.text}' is {what}", item.span, cure="take one of the includes out")
        if len(chain) > DEEPEST_INCLUDE:
            return fault(
                "SRC-024", f"includes are nested deeper than {DEEPEST_INCLUDE}", item.span, cure="include the file from the spec itself"
            )
        if real not in self.seen and len(self.seen) >= MOST_INCLUDES:
            return fault(
                "SRC-024", f"there are more than {MOST_INCLUDES} included files", item.span, cure="put parts together into fewer files"
            )
        return None

    def _near_file(self, path: str) -> str:
        """A file name in the same folder that is near to a missing one."""
        folder, name = posixpath.split(path)
        near = nearest(name, (n for n in self.world.list_folder(folder or ".") if n.endswith((".yaml", ".yml")) and n != name))
        return f"did you mean {near}?" if near else "check the path"


def name_of(path: str) -> str:
    """The name of a spec without its folder and endings: "curlew" for specs/curlew.amp.yaml. What is written for it is named after it."""
    return posixpath.basename(path).removesuffix(".yml").removesuffix(".yaml").removesuffix(".amp") or "amp"


def find_root(world: World, real: str) -> str:
    """The nearest folder above a resolved spec that holds a shop.yaml, else the spec's own folder."""
    own = folder = posixpath.dirname(real)
    while True:
        if world.is_file(posixpath.join(folder, SHOP_FILE)):
            return folder
        above = posixpath.dirname(folder)
        if above == folder:
            return own
        folder = above


def _inside(path: str, root: str) -> bool:
    return path.startswith(root.rstrip("/") + "/")


def _kind(root: Mapping) -> str:
    for entry in root.entries:
        if entry.key.text.startswith("humdinger-"):
            return entry.key.text.removeprefix("humdinger-")
    return "spec"
