"""VIN patterns of a configuration: 17 or fewer characters from position 1, ``?`` for any character."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.vin_characters import ALPHABET, LENGTH

if TYPE_CHECKING:
    from knowngood_refdata.vin import Vin

ANY = "?"
_YEAR_POSITION = 10
_DESCRIPTION = range(4, 9)
"""Positions that tell the attributes of the vehicle (49 CFR 565.15(b)); those before tell the maker only."""


@dataclass(frozen=True, slots=True)
class Match:
    """How a VIN lies on a pattern.

    ``differs_at`` is the first position that contradicts, ``open_at`` the first that is not known of the
    VIN; both are None for a full match. ``told`` counts the characters that were compared and agreed.
    """

    pattern: str
    differs_at: int | None
    open_at: int | None
    told: int

    @property
    def full(self) -> bool:
        """Whether every character of the pattern was compared and agreed."""
        return self.differs_at is None and self.open_at is None

    @property
    def describes(self) -> bool:
        """Whether the pattern tells more than the maker: a character in positions 4 to 8."""
        return any(_told(self.pattern, position) for position in _DESCRIPTION)

    @property
    def tells_year(self) -> bool:
        """Whether the pattern holds a character in position 10."""
        return _told(self.pattern, _YEAR_POSITION)


def _told(pattern: str, position: int) -> bool:
    return len(pattern) >= position and pattern[position - 1] != ANY


def patterns_in(text: str) -> tuple[str, ...]:
    """The patterns in a text that separates them by spaces, those that are none left out.

    >>> patterns_in("zz1?b zz2?c")
    ('ZZ1?B', 'ZZ2?C')
    >>> unreadable_in("ZZ1?B ZI*")
    ('ZI*',)
    """
    return tuple(pattern.upper() for pattern in text.split() if _is_pattern(pattern))


def unreadable_in(text: str) -> tuple[str, ...]:
    """What stands among the patterns and is none: other characters, or more than 17."""
    return tuple(pattern for pattern in text.split() if not _is_pattern(pattern))


def _is_pattern(text: str) -> bool:
    return len(text) <= LENGTH and text.isascii() and set(text.upper()) <= {*ALPHABET, ANY}


def compare(vin: Vin, pattern: str) -> Match:
    """Lay a VIN, whole or partial, on one pattern."""
    differs_at = open_at = None
    told = 0
    for position, wanted in enumerate(pattern, start=1):
        if wanted == ANY:
            continue
        found = vin.at(position)
        if not found:
            open_at = open_at or position
        elif found == wanted:
            told += 1
        else:
            differs_at = differs_at or position
    return Match(pattern, differs_at, open_at, told)


def best_match(vin: Vin, patterns: tuple[str, ...]) -> Match:
    """The pattern a VIN lies on best: a full match first, one that contradicts last, more characters first.

    Raises
    ------
    ValueError
        When there is no pattern.
    """
    return max(
        (compare(vin, pattern) for pattern in patterns),
        key=lambda match: (match.differs_at is None, match.full, match.told),
    )
