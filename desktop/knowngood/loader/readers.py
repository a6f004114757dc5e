"""The rules for log readers that plugins bring, and what becomes of a reader's failure."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from knowngood.api import LogRefused
from knowngood.loader.rules import want, want_callable
from knowngood.loader.status import PluginFailed, PluginMistake
from knowngood.progress import Cancelled

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood.api import LogReader
    from knowngood.loader.record import Record
    from knowngood_refdata.logs import LogTable


def check_reader(reader: LogReader, owners: dict[str, str]) -> None:
    """Refuse a log reader whose parts are of a wrong type or whose name is in use.

    Raises
    ------
    PluginMistake
        For such a reader; ``owners`` names who has each name.
    """
    name = f"its log reader {reader.name!r}"
    want(reader.name, str, f"{name}: the name")
    want(reader.endings, tuple, f"{name}: the endings")
    for ending in reader.endings:
        want(ending, str, f"{name}: an ending")
        if not ending.startswith("."):
            raise PluginMistake(f"{name}: the ending {ending!r} does not begin with a point")
    want_callable(reader.claims, f"{name}: claims")
    want_callable(reader.read, f"{name}: read")
    if reader.read_part is not None:
        want_callable(reader.read_part, f"{name}: read_part")
    want(reader.general, bool, f"{name}: general")
    if not reader.name.strip():
        raise PluginMistake(f"{name}: it needs a name")
    if reader.name in owners:
        raise PluginMistake(f"{name}: the name is used by {owners[reader.name]} already")


def contained(reader: LogReader, record: Record) -> LogReader:
    """The reader with its failures noted: one that fails claims nothing, or raises `ReaderFailed`."""

    def claims(head: bytes, name: str) -> bool:
        try:
            with record.guarded(f"asking '{reader.name}' about a file"):
                return _yes_or_no(reader, reader.claims(head, name))
        except PluginFailed:
            return False

    def read(data: bytes, name: str, proceed: Callable[[float], None]) -> LogTable:
        return _read(reader, record, lambda: reader.read(data, name, proceed))

    def read_part(data: bytes, name: str, proceed: Callable[[float], None], part: str) -> LogTable:
        assert reader.read_part is not None
        own = reader.read_part
        return _read(reader, record, lambda: own(data, name, proceed, part))

    return replace(
        reader, claims=claims, read=read, read_part=None if reader.read_part is None else read_part
    )


def _read(reader: LogReader, record: Record, work: Callable[[], object]) -> LogTable:
    from knowngood_refdata.logs import LogUnreadable, ReaderFailed

    passing = (LogUnreadable, LogRefused, Cancelled)
    try:
        with record.guarded(f"reading a log with '{reader.name}'", passing):
            return _checked(reader, work())
    except PluginFailed as failure:
        raise ReaderFailed(str(failure)) from failure
    except LogRefused as refusal:
        raise LogUnreadable(str(refusal)) from refusal


def _yes_or_no(reader: LogReader, answer: object) -> bool:
    if not isinstance(answer, bool):
        raise PluginMistake(f"its log reader {reader.name!r} answered neither True nor False about a file")
    return answer


def _checked(reader: LogReader, answer: object) -> LogTable:
    from knowngood_refdata.logs import LogTable, fault_of

    if not isinstance(answer, LogTable):
        raise PluginMistake(
            f"its log reader {reader.name!r} returned a {type(answer).__name__} instead of a LogTable"
        )
    fault = fault_of(answer)
    if fault:
        raise PluginMistake(f"its log reader {reader.name!r}: {fault}")
    return answer
