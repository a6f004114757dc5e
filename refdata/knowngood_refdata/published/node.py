"""One value of a stored document with its place in it, read with words for whatever does not fit."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar

from knowngood_refdata.published.terms import BadTable
from knowngood_refdata.quantities import Kind, MeasuringUnit, UnknownUnit, unit

Choice = TypeVar("Choice", bound=StrEnum)


class BadDocument(BadTable):
    """A stored or exchanged table cannot be read; the text names the place and what is wrong there."""


@dataclass(frozen=True, slots=True)
class Node:
    """A value and where it stands, as ``content, parts, no. 2``; what does not fit raises `BadDocument`."""

    value: object
    place: str

    def only(self, *names: str) -> None:
        """Refuse entries by other names, as ignoring them would lose what they say."""
        unknown = ", ".join(sorted(f"'{name}'" for name in self._entries().keys() - set(names)))
        if unknown:
            raise BadDocument(
                f"{self.place}: {unknown} is not known here; a newer version may have written it"
            )

    def has(self, name: str) -> bool:
        """Whether an entry is there and not null."""
        return self._entries().get(name) is not None

    def at(self, name: str) -> Node:
        """An entry that must be there."""
        if not self.has(name):
            raise BadDocument(f"{self.place}: '{name}' is missing")
        return Node(self._entries()[name], f"{self.place}, {name}")

    def each(self) -> list[Node]:
        """The items of a list."""
        if not isinstance(self.value, list):
            raise self._unfit("a list")
        return [Node(item, f"{self.place}, no. {number}") for number, item in enumerate(self.value, 1)]

    def list_at(self, name: str) -> list[Node]:
        """The items of a list that may be missing."""
        return self.at(name).each() if self.has(name) else []

    def text(self) -> str:
        """A text."""
        if not isinstance(self.value, str):
            raise self._unfit("a text")
        return self.value

    def text_at(self, name: str) -> str:
        """A text that may be missing, then empty."""
        return self.at(name).text() if self.has(name) else ""

    def number(self) -> float:
        """A finite number."""
        if isinstance(self.value, bool) or not isinstance(self.value, int | float):
            raise self._unfit("a number")
        if not math.isfinite(self.value):
            raise self._unfit("a finite number")
        return float(self.value)

    def number_at(self, name: str) -> float | None:
        """A number that may be missing."""
        return self.at(name).number() if self.has(name) else None

    def flag(self) -> bool:
        """A yes or no."""
        if not isinstance(self.value, bool):
            raise self._unfit("true or false")
        return self.value

    def flag_at(self, name: str) -> bool | None:
        """A yes or no that may be missing."""
        return self.at(name).flag() if self.has(name) else None

    def choice(self, choices: type[Choice]) -> Choice:
        """One of the words of an enumeration."""
        text = self.text()
        try:
            return choices(text)
        except ValueError:
            known = ", ".join(choices)
            raise BadDocument(f"{self.place}: '{text}' is not known; known are {known}") from None

    def choice_at(self, name: str, choices: type[Choice]) -> Choice | None:
        """One of the words of an enumeration, that may be missing."""
        return self.at(name).choice(choices) if self.has(name) else None

    def unit(self, kind: Kind) -> MeasuringUnit:
        """A unit of a kind by its symbol."""
        try:
            return unit(self.text(), kind)
        except UnknownUnit as error:
            raise BadDocument(f"{self.place}: {error}") from None

    def _entries(self) -> dict[str, object]:
        if not isinstance(self.value, dict):
            raise self._unfit("named entries")
        return self.value

    def _unfit(self, wanted: str) -> BadDocument:
        return BadDocument(f"{self.place}: {wanted} was expected, and '{str(self.value)[:40]}' stands there")
