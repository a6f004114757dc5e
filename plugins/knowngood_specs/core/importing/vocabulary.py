"""Header words for what a column can be, from the list beside this file."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from knowngood_specs.core.importing.targets import Meaning, Target

if TYPE_CHECKING:
    from collections.abc import Mapping

_FILE = Path(__file__).with_name("header_words.toml")


@cache
def phrases() -> Mapping[str, Meaning]:
    """What each phrase of the list means.

    >>> phrases()["kaltemittelmenge"].words
    'charge: value as printed'
    """
    listed = tomllib.loads(_FILE.read_text(encoding="utf-8"))
    found = {
        phrase: Meaning(Target[name.upper()]) for name, words in listed["plain"].items() for phrase in words
    }
    for section, target in (("fields", Target.PRINTED), ("amounts", Target.NUMBER)):
        for field, words in listed[section].items():
            found |= {phrase: Meaning(target, field) for phrase in words}
    return MappingProxyType(found)
