"""Which plugins a shop allows at all: a TOML file that whoever runs the computers writes.

    only = [{ name = "fleet", sha256 = "9f86d081..." }]

Only plugins listed with these very contents may be approved then; those of the program itself are not
concerned. A file that cannot be read allows none.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path

_SHA256 = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class Policy:
    """What is allowed.

    Attributes
    ----------
    place
        The file; empty when there is none and everything may be approved.
    only
        The pairs of name and hash that are allowed.
    trouble
        Why the file could not be read; nothing is allowed then.
    """

    place: str = ""
    only: frozenset[tuple[str, str]] = frozenset()
    trouble: str = ""

    @classmethod
    def read(cls, path: Path | None) -> Policy:
        """The policy in a file, or the one that allows everything when none is named."""
        if path is None:
            return cls()
        try:
            return cls(str(path), _listed(tomllib.loads(path.read_text("utf-8"))))
        except (OSError, ValueError) as error:
            return cls(str(path), trouble=str(error))

    def against(self, name: str, sha256: str) -> str:
        """Why a plugin is not allowed, in a sentence; empty when it is."""
        if not self.place or (name, sha256) in self.only:
            return ""
        if self.trouble:
            return f"The policy {self.place} cannot be read ({self.trouble}), so that it allows no plugin."
        if any(name == listed for listed, _ in self.only):
            return f"The policy {self.place} lists '{name}' with other contents than these."
        return f"The policy {self.place} does not list it."


def _listed(content: dict[str, Any]) -> frozenset[tuple[str, str]]:
    only = content.get("only")
    if not isinstance(only, list):
        raise ValueError("it holds no list called 'only'")  # noqa: TRY004 - a broken file either way
    return frozenset(_pair(one) for one in only)


def _pair(one: object) -> tuple[str, str]:
    if not isinstance(one, dict) or not isinstance(one.get("name"), str):
        raise ValueError("an entry of 'only' has no name")  # noqa: TRY004 - as above
    sha256 = str(one.get("sha256", "")).lower()
    if not _SHA256.fullmatch(sha256):
        raise ValueError(f"the entry '{one['name']}' has no sha256 of 64 digits")
    return one["name"], sha256
