"""The nearest known word to a misspelled one."""

from __future__ import annotations

from collections.abc import Iterable

LONGEST = 64


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word a writer most likely meant, None when nothing is near enough. Ties go to the alphabet."""
    found = nearest_all(word, known, 1)
    return found[0] if found else None


def nearest_all(word: str, known: Iterable[str], most: int = 3) -> tuple[str, ...]:
    """Up to `most` known words, nearest first.

    Near enough: one slip for every three letters, at least one; letter case, `-` against `_` or a blank cost nothing;
    a known word that the written one begins or ends (or the other way round) counts as near from three letters on.
    """
    plain = _plain(word)
    if not plain or len(plain) > LONGEST:
        return ()
    limit = max(1, len(plain) // 3)
    ranked: list[tuple[int, str]] = []
    for candidate in set(known):
        other = _plain(candidate)
        slips = 0 if plain == other else distance(plain, other, limit)
        if slips > limit and min(len(plain), len(other)) >= 3 and _part_of(plain, other):
            slips = limit
        if slips <= limit and slips < max(len(plain), len(other)):
            ranked.append((slips, candidate))
    return tuple(candidate for _, candidate in sorted(ranked)[:most])


def distance(a: str, b: str, limit: int = LONGEST) -> int:
    """Slips between two words: letters put in, left out, changed, or swapped with their neighbour (optimal string alignment).

    Anything above `limit` comes back as limit + 1.
    """
    if abs(len(a) - len(b)) > limit:
        return limit + 1
    before: list[int] = []
    row = list(range(len(b) + 1))
    for i, letter in enumerate(a, 1):
        before, last, row = row, before, [i]
        for j, other in enumerate(b, 1):
            cost = min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (letter != other))
            if i > 1 and j > 1 and letter == b[j - 2] and a[i - 2] == other:
                cost = min(cost, last[j - 2] + 1)
            row.append(cost)
    return min(row[-1], limit + 1)


def _plain(word: str) -> str:
    return word.casefold().replace("_", "-").replace(" ", "-")


def _part_of(a: str, b: str) -> bool:
    short, long = sorted((a, b), key=len)
    return long.startswith(short) or long.endswith(short)
