"""What is known about each plugin: where it came from, what it brought, how it failed."""

from __future__ import annotations

import traceback
from dataclasses import dataclass
from enum import StrEnum


class Origin(StrEnum):
    """How a plugin came to be found."""

    INSTALLED = "installed"
    FOLDER = "plugins folder"


class PluginMistake(Exception):  # noqa: N818 - reads as what it is
    """A plugin breaks a rule of the hooks; the text says which, in words for its author."""


@dataclass(frozen=True, slots=True)
class Failure:
    """One failure of a plugin: during what, in words, and with its traceback."""

    during: str
    words: str
    traceback: str

    @classmethod
    def of(cls, during: str, error: BaseException) -> Failure:
        """The failure that an exception stands for."""
        if isinstance(error, PluginMistake):
            words = str(error)
        elif isinstance(error, SystemExit):
            words = "it wanted to end the program (SystemExit)"
        else:
            words = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
        return cls(during, words, "".join(traceback.format_exception(error)))

    def __str__(self) -> str:
        return f"{self.during}: {self.words}"


class PluginFailed(Exception):  # noqa: N818 - reads as what happened
    """A plugin failed while it was asked for something; the text names the plugin and says how."""

    def __init__(self, name: str, failure: Failure) -> None:
        super().__init__(f"The plugin '{name}' failed ({failure}).")
        self.name = name
        self.failure = failure


@dataclass(frozen=True, slots=True)
class PluginStatus:
    """A plugin as the Plugins page lists it.

    Attributes
    ----------
    place
        The module of an installed plugin, the file or folder of one in the plugins folder.
    version
        As its package says; empty when it does not.
    loaded_ms, called_ms
        Time for the import, and in all its hooks and page factories since.
    failures
        Every failure so far, the first one first; equal ones once.
    contributions
        What it brought, in words: ``page Check-up``, ``command check``.
    """

    name: str
    origin: Origin
    place: str
    version: str
    loaded_ms: float
    called_ms: float
    failures: tuple[Failure, ...]
    contributions: tuple[str, ...]

    @property
    def failure(self) -> Failure | None:
        """The first failure, None when all went well."""
        return self.failures[0] if self.failures else None
