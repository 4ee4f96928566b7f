"""What `humdinger explain CODE` says of a code that is not a rule of its own (rules have docstrings)."""

from __future__ import annotations

from ..records import record


@record
class CodePage:
    """One code: what it says, why it matters, and a bad and a good piece of a spec."""

    code: str
    rule: str
    what: str
    why: str
    bad: str = ""
    good: str = ""

    def text(self) -> str:
        """The page as plain text."""
        parts = [f"{self.code}: {self.rule}", self.what, self.why]
        for head, example in (("Example (bad)", self.bad), ("Example (good)", self.good)):
            if example:
                parts.append(head + "\n" + "".join(f"    {line}\n" for line in example.splitlines()).rstrip("\n"))
        return "\n\n".join(parts) + "\n"
