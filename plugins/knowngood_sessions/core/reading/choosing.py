"""Which reader reads a file: unpack it, ask the readers in turn, and keep what each of them says."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Protocol

from knowngood_refdata.logs import LogUnreadable, Notice, ReaderFailed, SeveralLogs
from knowngood_sessions.core.reading import text

from .layout import find_layout
from .packed import HEAD_BYTES, is_packed, unpacked
from .reader import read_log
from .workbook import claims_workbook, read_sheet, read_workbook

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from knowngood_refdata.logs import LogTable

    Proceed = Callable[[float], None]

INSIDE = " > "
"""Stands in the name of a part between a packed file's member and what is in it."""


class Reader(Protocol):
    """What `knowngood.api.LogReader` is to this module."""

    @property
    def name(self) -> str:
        """Of the format."""

    @property
    def claims(self) -> Callable[[bytes, str], bool]:
        """Whether it reads files that begin like this."""

    @property
    def read(self) -> Callable[[bytes, str, Proceed], LogTable]:
        """The log in a file."""

    @property
    def read_part(self) -> Callable[[bytes, str, Proceed, str], LogTable] | None:
        """One of the several logs in a file."""

    @property
    def general(self) -> bool:
        """Whether it claims whole families of files."""


@dataclass(frozen=True, slots=True)
class BuiltIn:
    """A reader of this plugin."""

    name: str
    claims: Callable[[bytes, str], bool]
    read: Callable[[bytes, str, Proceed], LogTable]
    read_part: Callable[[bytes, str, Proceed, str], LogTable] | None = None
    general: bool = True


BUILT_IN: tuple[Reader, ...] = (
    BuiltIn("Workbook", claims_workbook, read_workbook, read_sheet),
    BuiltIn("Text table", lambda _head, _name: True, read_log),
)


def read_any(
    data: bytes,
    name: str,
    readers: Sequence[Reader] = (),
    proceed: Proceed = lambda _: None,
    part: str = "",
) -> LogTable:
    """Read a log of any format that one of the readers reads, packed or not.

    Parameters
    ----------
    readers
        Those to ask, in this order; without any, the ones of this plugin.
    part
        Which log of a file that holds several.

    Raises
    ------
    LogUnreadable
        When the reader that claims the file refuses it, or none reads it.
    SeveralLogs
        When the file holds several logs and no part was named.
    """
    asked = tuple(readers) or BUILT_IN
    if len(data) > text.LARGEST_BYTES:
        raise LogUnreadable(
            f"The file has {len(data) / 1e6:,.0f} MB; at most {text.LARGEST_BYTES / 1e6:,.0f} MB can be "
            "read. Nothing was imported; export a shorter stretch or a lower sampling rate."
        )
    own = [one for one in asked if not one.general and one.claims(data[:HEAD_BYTES], name)]
    if own or not is_packed(data):
        return _read(data, name, asked, proceed, part)
    member, _, inside = part.partition(INSIDE)
    file = unpacked(data, name, member, lambda head, of: _holds_log(head, of, asked), text.LARGEST_BYTES)
    if is_packed(file.data):
        raise LogUnreadable(
            f"{file.name} is packed once more inside the packed file. Nothing was imported; unpack it first."
        )
    try:
        table = _read(file.data, file.name, asked, proceed, inside)
    except SeveralLogs as several:
        parts = [f"{member or file.name}{INSIDE}{one}" for one in several.parts]
        raise SeveralLogs(parts, "The packed file holds several logs") from None
    told = (Notice(file.told),) if file.told else ()
    chosen = f"{member}{INSIDE}{table.part}" if member and table.part else member or table.part
    return replace(table, source_name=name, notices=(*told, *table.notices), part=chosen)


def _read(data: bytes, name: str, readers: Sequence[Reader], proceed: Proceed, part: str) -> LogTable:
    """The log as the first reader that can reads it: of those of one format, else of the general ones.

    What a reader of one format refuses is not handed to one that takes any text: it would read nonsense.
    """
    head = data[:HEAD_BYTES]
    claiming = [one for one in readers if not one.general and one.claims(head, name)]
    failed: list[str] = []
    refused: list[str] = []
    for reader in (*claiming, *(one for one in readers if one.general)):
        if reader.general and (refused or not reader.claims(head, name)):
            continue
        try:
            table = _read_with(reader, data, name, proceed, part)
        except ReaderFailed as failure:
            failed.append(str(failure))
        except SeveralLogs:
            raise
        except LogUnreadable as refusal:
            refused.append(str(refusal))
        else:
            told = [*failed, *refused, *_others(reader, claiming)]
            return replace(table, source_name=name, notices=(*map(Notice, told), *table.notices))
    if not refused:
        refused.append("No reader reads this file. Nothing was imported.")
    raise LogUnreadable(" ".join([*failed, *refused]))


def _read_with(reader: Reader, data: bytes, name: str, proceed: Proceed, part: str) -> LogTable:
    if part and reader.read_part is not None:
        return reader.read_part(data, name, proceed, part)
    return reader.read(data, name, proceed)


def _others(reader: Reader, claiming: Sequence[Reader]) -> list[str]:
    """That others would have read the file too, in words."""
    others = [f"'{one.name}'" for one in claiming if one is not reader]
    if reader.general or not others:
        return []
    return [f"Read as '{reader.name}'; the file may also be {' or '.join(others)}."]


def _holds_log(head: bytes, name: str, readers: Sequence[Reader]) -> bool:
    """Whether the first bytes of a packed file look like a log."""
    if any(one.claims(head, name) for one in readers if not one.general) or claims_workbook(head, name):
        return True
    end = head.rfind(b"\n")
    try:
        find_layout(text.decode(head[: end + 1] if len(head) == HEAD_BYTES and end > 0 else head).utf8)
    except LogUnreadable:
        return False
    return True
