"""What the command line puts in the place of something in the spec, as data.

It is the strongest layer of a spec: the command line wins over the spec, the spec over an include. Each override stands on a line of a
text of its own, shown under the name "command line", so that a diagnostic can underline the argument as it underlines a line of a file.
"""

from __future__ import annotations

from ..diagnostics import Span
from ..records import record

COMMAND_LINE = "command line"


@record
class Asked:
    """What was asked for. region: "us" or "jp:50"; tubes: texts like "V4,V5=6V6GT"; fuse: the rating found for what was asked."""

    region: str = ""
    tubes: tuple[str, ...] = ()
    fuse: str = ""

    def __bool__(self) -> bool:
        return bool(self.region or self.tubes)

    @property
    def words(self) -> str:
        """As one would type it."""
        return " ".join((*((f"--region {self.region}",) if self.region else ()), *(f"--tube {text}" for text in self.tubes)))


NOTHING_ASKED = Asked()


@record
class Override:
    """One value that is not the spec's.

    argument: the option with its text. path, text: the spec path and what stands there now; span: where in the command line. was: what the
    spec has there ("" for nothing), replaced: where. why: what it follows from, "" when it is the argument itself.
    """

    argument: str
    path: str
    text: str
    span: Span
    was: str = ""
    replaced: Span | None = None
    why: str = ""
