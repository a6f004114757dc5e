"""Make a small plugin that works, with tests."""

from __future__ import annotations

import keyword
from typing import TYPE_CHECKING

from knowngood.api import API_VERSION
from knowngood.authoring.templates import FILES

if TYPE_CHECKING:
    from pathlib import Path


class NameRefused(ValueError):  # noqa: N818 - an answer
    """The name cannot be one of a plugin, or its place is taken; the text says why."""


def make(name: str, folder: Path) -> Path:
    """Write a new plugin into a folder of its own within ``folder``; the new folder.

    Raises
    ------
    NameRefused
        When the name is no lower-case identifier, or the folder is there already.
    OSError
        When it cannot be written.
    """
    if not name.isidentifier() or not name.isascii() or name != name.lower() or keyword.iskeyword(name):
        raise NameRefused(
            f"'{name}' cannot name a plugin. Nothing was made. Use lower-case letters, digits and "
            "underlines, beginning with a letter: seasonal_checks."
        )
    place = folder / name
    if place.exists():
        raise NameRefused(f"{place} is there already. Nothing was made. Choose another name or folder.")
    for path, text in FILES.items():
        file = place / _filled(path, name)
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(_filled(text, name), encoding="utf-8", newline="\n")
    return place


def title_of(name: str) -> str:
    """What the rail calls it.

    >>> title_of("seasonal_checks")
    'Seasonal checks'
    """
    words = name.replace("_", " ").strip()
    return words[:1].upper() + words[1:]


def _filled(text: str, name: str) -> str:
    return text.replace("@name@", name).replace("@title@", title_of(name)).replace("@api@", str(API_VERSION))
