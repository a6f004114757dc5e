"""What was found out about a plugin, in words for its author."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator


@dataclass(slots=True)
class Findings:
    """What was found: ``wrong`` keeps it from working, ``better`` could be better, ``seen`` works."""

    wrong: list[str] = field(default_factory=list)
    better: list[str] = field(default_factory=list)
    seen: list[str] = field(default_factory=list)

    @property
    def good(self) -> bool:
        """Whether nothing keeps it from working."""
        return not self.wrong

    def is_wrong(self, words: str) -> None:
        """Note what keeps the plugin from working, once."""
        if words not in self.wrong:
            self.wrong.append(words)

    def lines(self) -> Iterator[str]:
        """The findings for a terminal."""
        yield from (f"wrong: {one}" for one in self.wrong)
        yield from (f"better: {one}" for one in self.better)
        yield from (f"seen: {one}" for one in self.seen)
        yield "Nothing is wrong." if self.good else f"{len(self.wrong)} wrong."
