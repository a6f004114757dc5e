"""What a plugin may use: the marker for hooks, and the records that hooks give and take.

Importing this module loads neither Qt nor numpy, so that a plugin's ``plugin.py`` costs nothing at
start-up. A plugin reaches the running program through the `Host` that its page factory is given.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Protocol

import pluggy

from knowngood.bringing import PluginTables, Setting, SettingKind, TableStep
from knowngood.progress import Progress
from knowngood_refdata.explaining import Explanation, Load, Measurement, Pattern, Signal

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

    import numpy as np
    from numpy.typing import NDArray
    from PySide6.QtWidgets import QWidget

    from knowngood.bench import Bench
    from knowngood.drafts import Drafts
    from knowngood.scales import System
    from knowngood.tasks import Tasks
    from knowngood.units import Units
    from knowngood_refdata.logs import LogTable
    from knowngood_refdata.quantities import Kind
    from knowngood_refdata.records import Conditions, Instruments
    from knowngood_refdata.store import Store

__all__ = [
    "API_VERSION",
    "CheckNote",
    "Command",
    "DerivedChannel",
    "Desk",
    "Explanation",
    "Group",
    "Host",
    "Load",
    "LogReader",
    "LogRefused",
    "LogRequest",
    "Measurement",
    "NoteLevel",
    "Page",
    "Pattern",
    "PluginTables",
    "Program",
    "Progress",
    "ReportSection",
    "Setting",
    "SettingKind",
    "Sheet",
    "Signal",
    "SpecField",
    "TableStep",
    "hookimpl",
]

API_VERSION = 1

hookimpl = pluggy.HookimplMarker("knowngood")
"""Mark a function of a plugin module as the implementation of the hook of the same name."""


class Group(StrEnum):
    """The groups of the left rail, in their order."""

    BENCH = "Bench"
    LIBRARY = "Library"
    REFERENCE = "Reference"
    SHOP = "Shop"


class Program(Protocol):
    """What a check or a part of the report can ask of the program, without a window."""

    def spec_fields(self) -> Sequence[SpecField]:
        """The fields of a vehicle's record that all plugins bring."""

    def derived_channels(self, refrigerant: str) -> Sequence[DerivedChannel]:
        """The channels that all plugins work out of recorded ones, for a session with this refrigerant."""

    def log_readers(self) -> Sequence[LogReader]:
        """The readers of log files that all plugins bring, in the order in which they are asked."""

    def explanations(self) -> Sequence[Explanation]:
        """The explanations that all plugins bring for a check-up, those of the program itself first."""

    def measurements(self) -> Sequence[Measurement]:
        """The measurements that all plugins bring, those of the program itself first."""

    def session_checks(self, session_id: int) -> Sequence[CheckNote]:
        """What the checks of all plugins found in a session, cautions first."""

    def setting(self, plugin: str, key: str) -> str | float | bool:
        """The value of a plugin's setting, of its kind; a KeyError when the plugin brings no such setting."""


class Host(Program, Protocol):
    """What a page can ask of the program. It is all there is: the window itself is not handed out.

    `store` is the open library, `bench` what is in hand, `units` the unit system and how to write
    values in it, `tasks` runs long work off the GUI thread, `drafts` keeps what has been typed but not
    yet saved.
    """

    store: Store
    bench: Bench
    units: Units
    tasks: Tasks
    drafts: Drafts

    def show_page(self, key: str) -> None:
        """Bring the page with this key to the front."""

    def say(self, text: str) -> None:
        """Show a short sentence in the window's status line."""

    def user(self) -> str:
        """The name under which work is recorded."""

    def report_html(self, session_id: int) -> str:
        """The report on a session as one self-contained HTML page."""

    def print_report(self, session_id: int, path: Path) -> None:
        """Write the report on a session to ``path`` as PDF."""

    def sheet_pdf(self, sheet: Sheet, path: Path) -> None:
        """Write a sheet to ``path`` as PDF; an OSError tells in words why it cannot be written."""

    def print_sheet(self, sheet: Sheet) -> None:
        """Ask for a printer and print a sheet on it."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A page of paper: a title, HTML in which every text is escaped, and a quiet line at its foot."""

    title: str
    html: str
    foot: str = ""


@dataclass(frozen=True, slots=True)
class Page:
    """A page of the left rail; ``factory`` is called at the first click, with the host."""

    key: str
    title: str
    group: Group
    order: int
    factory: Callable[[Host], QWidget]


@dataclass(frozen=True, slots=True)
class LogRequest:
    """A log file to be imported without a window.

    ``mapping`` overrides the proposal, by column name: ``{"P1": "low side, psi, gauge"}``.
    ``part`` names the sheet or packed file where the file holds several logs. ``readers`` are filled in by
    the program.
    """

    path: Path
    vehicle_id: int | None
    refrigerant: str
    conditions: Conditions
    instruments: Instruments
    mapping: Mapping[str, str]
    technician: str = ""
    part: str = ""
    readers: tuple[LogReader, ...] = ()


class Desk(Program, Protocol):
    """What a command can ask of the program: the library and the log import, without a window.

    `system` is the unit system in which to answer.
    """

    store: Store
    system: System

    def import_log(self, request: LogRequest) -> int:
        """Import and analyse a log with the first plugin that reads it; return the session's id."""

    def report_html(self, session_id: int) -> str:
        """The report on a session as one self-contained HTML page."""


@dataclass(frozen=True, slots=True)
class Command:
    """A command of the ``knowngood`` command line; ``run`` returns the exit code."""

    name: str
    help: str
    configure: Callable[[ArgumentParser], None]
    run: Callable[[Desk, Namespace], int]


@dataclass(frozen=True, slots=True)
class SpecField:
    """A field of a vehicle's record; ``kind`` is None for a text.

    ``choices`` are what is offered, never all that is taken; ``section`` is the heading that it stands under,
    one that a record does not have makes it one of the shop's own fields.
    """

    name: str
    title: str
    kind: Kind | None = None
    choices: tuple[str, ...] = ()
    example: str = ""
    section: str = ""


@dataclass(frozen=True, slots=True)
class DerivedChannel:
    """A channel that is worked out of others sample by sample.

    ``needs`` names what ``compute`` is given: roles of recorded channels (``low side``) and names of other
    derived channels. It is given each under its name, (n,), in SI, pressures absolute, NaN where there is
    no value, and returns (n,) in SI. It is called on any thread with any stretch of a session: a value may
    depend on samples of its own moment alone. How sure the channel is follows from calling it with each
    recorded channel moved by the uncertainty of its instrument. ``kind`` is None for a plain number.
    """

    name: str
    title: str
    kind: Kind | None
    needs: tuple[str, ...]
    compute: Callable[[Mapping[str, NDArray[np.float64]]], NDArray[np.float64]]


@dataclass(frozen=True, slots=True)
class LogReader:
    """A reader of log files of one format.

    Parameters
    ----------
    name
        Of the format, for people: ``Fleet telematics``.
    endings
        Of file names, for the file dialog: ``(".dat",)``. They decide nothing; ``claims`` does.
    claims
        Given the first 64 KB of a file and its name: whether this reader reads such files.
    read
        Given the bytes of a file, its name, and a function that takes the fraction done and may raise to
        stop: the log, see `knowngood_refdata.logs.LogTable`. A file that was claimed and cannot be read
        after all raises `knowngood_refdata.logs.LogUnreadable` with what was found and what to do, a file
        of several logs `knowngood_refdata.logs.SeveralLogs`.
    read_part
        As ``read``, and given the name of one of the several logs.
    general
        Whether it claims whole families of files, as the readers of text tables and of workbooks do: such
        readers are asked last.
    """

    name: str
    endings: tuple[str, ...]
    claims: Callable[[bytes, str], bool]
    read: Callable[[bytes, str, Callable[[float], None]], LogTable]
    read_part: Callable[[bytes, str, Callable[[float], None], str], LogTable] | None = None
    general: bool = False


@dataclass(frozen=True, slots=True)
class ReportSection:
    """A part of the report: a heading, and HTML in which every text from outside is escaped."""

    title: str
    order: int
    html: str


class NoteLevel(StrEnum):
    """How much a note on a session matters, the least first."""

    REMARK = "remark"
    CAUTION = "caution"


@dataclass(frozen=True, slots=True)
class CheckNote:
    """What a check found in a session: one or two sentences of plain text, 400 characters at most.

    A caution doubts the outcome of a check-up, a remark does not. The program fills in which plugin is the
    ``source`` of a note; what a plugin writes there is overwritten.
    """

    level: NoteLevel
    text: str
    source: str = field(default="", compare=False)


class LogRefused(Exception):  # noqa: N818 - a refusal is an answer, not an error of the program
    """A log cannot be imported as it is. The text says what was found, what was kept, what to do."""
