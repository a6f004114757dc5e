"""Names that differ by one slip of the pen, found without comparing every name with every other."""

from __future__ import annotations

import re
from collections import defaultdict
from functools import lru_cache

_SHORTEST = 4
_DIGITS = re.compile(r"\d+")


class NearNames:
    """Folded names that can be asked for those one letter away.

    Two names are near when one comes from the other by leaving out, adding or changing one letter, by
    swapping neighbours, or by another order of words. Digits are never a slip: ``skerry 2`` is not
    near ``skerry 3``. Two names of three letters or fewer are never near.

    The index holds each name with one letter left out (the neighbourhood of deletions); a slip of one
    letter makes two such neighbourhoods meet, so a question costs the length of the name alone.
    """

    def __init__(self) -> None:
        self._names: set[str] = set()
        self._without: defaultdict[str, set[str]] = defaultdict(set)
        self._answers: dict[str, tuple[str, ...]] = {}

    def add(self, name: str) -> None:
        """Take in a name."""
        if name in self._names:
            return
        self._names.add(name)
        self._answers.clear()
        for short in _neighbourhood(name):
            self._without[short].add(name)

    def near(self, name: str) -> tuple[str, ...]:
        """The other names that are near, in alphabetical order."""
        known = self._answers.get(name)
        if known is None:
            met = {one for short in _neighbourhood(name) for one in self._without.get(short, ())}
            known = self._answers[name] = tuple(
                sorted(one for one in met if one != name and are_near(one, name))
            )
        return known


@lru_cache(maxsize=16_384)
def are_near(one: str, other: str) -> bool:
    """Whether two folded names differ by one slip.

    >>> are_near("skerry", "skery"), are_near("skerry", "skrery"), are_near("skerry 2", "skerry 3")
    (True, True, False)
    """
    if one == other or _DIGITS.findall(one) != _DIGITS.findall(other):
        return False
    if sorted(one.split()) == sorted(other.split()):
        return True
    short, long = sorted((one.replace(" ", ""), other.replace(" ", "")), key=len)
    if len(long) < _SHORTEST or len(long) - len(short) > 1:
        return False
    if short == long:
        return True
    at = next((i for i, (a, b) in enumerate(zip(short, long, strict=False)) if a != b), len(short))
    if len(short) < len(long):
        return short[at:] == long[at + 1 :]
    swapped = short[at : at + 2] == long[at : at + 2][::-1] and short[at + 2 :] == long[at + 2 :]
    return swapped or short[at + 1 :] == long[at + 1 :]


@lru_cache(maxsize=16_384)
def _neighbourhood(name: str) -> tuple[str, ...]:
    bare = name.replace(" ", "")
    ordered = " ".join(sorted(name.split()))
    shorter = {bare[:index] + bare[index + 1 :] for index in range(len(bare))}
    return (bare, f"\0{ordered}", *shorter)
