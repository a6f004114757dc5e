"""The words in the name of a column."""

from __future__ import annotations

import re

_SPLIT = re.compile(r"[A-Z]+(?![a-z])|[A-Z]?[a-zäöüß]+|\d+|[°%]")


def words_of(name: str) -> list[str]:
    """The words of a column name, in lower case.

    >>> words_of("P_low side"), words_of("EngineRPM"), words_of("T1")
    (['p', 'low', 'side'], ['engine', 'rpm'], ['t', '1'])
    """
    return [word.casefold() for word in _SPLIT.findall(name)]
