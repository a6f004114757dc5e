"""What is known about each plugin: where it came from, what it brought, how it failed."""

from __future__ import annotations

import traceback
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from types import TracebackType

QUICK_MS = 20.0
"""What a plugin that keeps to the guide adds to the start at most, in milliseconds."""
_LONGEST = 20_000
_WAY_THERE = ("knowngood.loader.", "importlib", "contextlib")


class Origin(StrEnum):
    """How a plugin came to be found."""

    INSTALLED = "installed"
    FOLDER = "plugins folder"


class State(StrEnum):
    """Whether a plugin runs, and if not, why."""

    RUNNING = "running"
    PREPARING = "preparing its tables"
    WAITING = "waiting for approval"
    REFUSED = "refused"
    NOT_ALLOWED = "not allowed by the policy"
    DOES_NOT_FIT = "does not fit this program"
    OFF = "switched off"
    LEFT_OUT = "left out in safe mode"
    FAILED = "failed to load"


class PluginMistake(Exception):  # noqa: N818 - reads as what it is
    """A plugin breaks a rule of the hooks; the text says which, in words for its author."""


class PluginLeft(PluginMistake):
    """A plugin wanted to end the program; its code knows this as ``SystemExit`` while the window is open.

    Attributes
    ----------
    code
        The exit code that it gave, as `SystemExit` has it.
    """

    def __init__(self, *given: object, how: str = "SystemExit") -> None:
        super().__init__(f"it wanted to end the program ({how})")
        self.code = given if len(given) > 1 else given[0] if given else None


class PluginStuck(BaseException):
    """A plugin kept the window standing still and was stopped.

    It is raised in the plugin's code and no `Exception`, which the plugin itself might catch.
    """

    def __init__(self) -> None:
        super().__init__("it kept the window standing still for too long and was stopped")


@dataclass(frozen=True, slots=True)
class About:
    """What a plugin says of itself and what was counted, before anything of it has run.

    ``api`` is None when it does not state the version of the API that it was written for; ``sha256`` is
    empty for a plugin of the program itself; ``size`` is in bytes.
    """

    name: str
    version: str = ""
    author: str = ""
    summary: str = ""
    api: int | None = None
    sha256: str = ""
    files: int = 0
    size: int = 0


@dataclass(frozen=True, slots=True)
class Cost:
    """How often something of a plugin was called, and the time for all calls together."""

    what: str
    calls: int
    total_ms: float


@dataclass(frozen=True, slots=True)
class Failure:
    """One failure of a plugin: during what, in words, and with its traceback."""

    during: str
    words: str
    traceback: str

    @classmethod
    def of(cls, during: str, error: BaseException) -> Failure:
        """The failure that an exception stands for."""
        return cls(during, _shortened(_words(error)), _shortened(_traceback(error)))

    def __str__(self) -> str:
        return f"{self.during}: {self.words}"


def _words(error: BaseException) -> str:
    if isinstance(error, SystemExit):
        return "it wanted to end the program (SystemExit)"
    said = _said(error)
    if isinstance(error, PluginMistake | PluginStuck):
        return said
    return f"{type(error).__name__}: {said}" if said else type(error).__name__


def _said(error: BaseException) -> str:
    try:
        return str(error)
    except Exception:  # noqa: BLE001 - a plugin's exception may itself be broken
        return "(what it says cannot be read)"


def _traceback(error: BaseException) -> str:
    try:
        return "".join(traceback.format_exception(type(error), error, _beyond_the_loader(error)))
    except Exception:  # noqa: BLE001 - as above
        return "".join(traceback.format_tb(error.__traceback__))


def _beyond_the_loader(error: BaseException) -> TracebackType | None:
    """Where the plugin's part of a traceback begins: how the loader got there tells its author nothing."""
    trace = error.__traceback__
    while trace is not None:
        module = str(trace.tb_frame.f_globals.get("__name__"))
        if not module.startswith(_WAY_THERE):
            return trace
        trace = trace.tb_next
    return error.__traceback__


def _shortened(text: str) -> str:
    """The beginning and the end of a text that nobody would read whole."""
    if len(text) <= _LONGEST:
        return text
    half = _LONGEST // 2
    return f"{text[:half]}\n... {len(text) - _LONGEST} characters left out ...\n{text[-half:]}"


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
    built_in
        Whether it is part of the program itself.
    version
        As its package says; empty when it does not.
    state, reason
        Whether it runs, and a sentence when it does not.
    about
        What it says of itself; None when it could not be read.
    loaded_ms, called_ms
        Time for finding and importing it, and in all its hooks and page factories since.
    start_ms
        What it added to the start of the program; 0 while the start is not over.
    costs
        The time by what was called, the dearest first.
    failures
        Every failure so far, the first one first; equal ones once.
    contributions
        What it brought, in words: ``page Check-up``, ``command check``.
    printed, printed_size
        The first that it printed, and how many characters it printed in all.
    """

    name: str
    origin: Origin
    place: str
    built_in: bool
    version: str
    state: State
    reason: str
    about: About | None
    loaded_ms: float
    called_ms: float
    start_ms: float
    costs: tuple[Cost, ...]
    failures: tuple[Failure, ...]
    contributions: tuple[str, ...]
    printed: str
    printed_size: int

    @property
    def failure(self) -> Failure | None:
        """The first failure, None when all went well."""
        return self.failures[0] if self.failures else None

    @property
    def slow(self) -> bool:
        """Whether it costs more than a plugin that keeps to the guide adds to the start."""
        return max(self.start_ms, self.loaded_ms) > QUICK_MS
