"""Files packed with gzip or zip: unpacked in memory within bounds, one log inside or one that is named.

Nothing is written to a disk, and no name inside a packed file is used as a path.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.logs import LogUnreadable, SeveralLogs
from knowngood_refdata.workbook_bounds import ZIP_FAULTS
from knowngood_refdata.workbooks import is_workbook

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

GZIP = b"\x1f\x8b"
ZIP = (b"PK\x03\x04", b"PK\x05\x06")
HEAD_BYTES = 65_536
_PIECE = 1_000_000
_RATIO = 200
_RATIO_FROM = 20_000_000
_FED = 65_536
_MOST_MEMBERS = 1_000
_MOST_PARTS = 100_000
_DAMAGED = "The packed file is damaged ({}). Nothing was imported; pack or download it again."


@dataclass(frozen=True, slots=True)
class Unpacked:
    """The bytes and the name of the one file that was inside, and what should be told about it."""

    data: bytes
    name: str
    told: str = ""


def is_packed(data: bytes) -> bool:
    """Whether bytes are packed with gzip or zip and are no workbook."""
    return data.startswith(GZIP) or (data.startswith(ZIP) and not is_workbook(data[:HEAD_BYTES]))


def unpacked(
    data: bytes, name: str, part: str, holds_log: Callable[[bytes, str], bool], most_bytes: int
) -> Unpacked:
    """The one log in a packed file.

    Parameters
    ----------
    part
        The name of the file inside that is wanted; empty when there is but one log.
    holds_log
        Given the first bytes of a file inside and its name: whether it is a log.
    most_bytes
        A log that unpacks to more is refused.

    Raises
    ------
    SeveralLogs
        When there are several logs and no part was named.
    LogUnreadable
        When there is none, or it cannot be unpacked within the bounds.
    """
    if data.startswith(GZIP):
        return Unpacked(_gunzipped(data, most_bytes), name.removesuffix(".gz"))
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return _member(archive, part, holds_log, most_bytes)
    except LogUnreadable:
        raise
    except ZIP_FAULTS as error:
        raise LogUnreadable(_DAMAGED.format(str(error) or type(error).__name__)) from None


def _gunzipped(data: bytes, most_bytes: int) -> bytes:
    """All members of a file, one after the other; what stands behind the last one is no part of it."""
    pieces: list[bytes] = []
    view, at, size, members = memoryview(data), 0, 0, 0
    try:
        while view[at : at + 2] == GZIP:
            members += 1
            stream = zlib.decompressobj(wbits=31)
            while not stream.eof:
                fed = view[at : at + _FED]
                piece = stream.decompress(fed, _PIECE)
                at += len(fed) - len(stream.unconsumed_tail) - len(stream.unused_data)
                if not piece and not fed and not stream.eof:
                    raise LogUnreadable(_DAMAGED.format("it is broken off"))
                size += len(piece)
                _refuse_beyond(size, len(data), most_bytes)
                pieces.append(piece)
            if members > _MOST_PARTS:
                raise LogUnreadable(_DAMAGED.format(f"it has more than {_MOST_PARTS:,} parts"))
    except zlib.error as error:
        raise LogUnreadable(_DAMAGED.format(error)) from None
    return b"".join(pieces)


def _member(
    archive: zipfile.ZipFile, part: str, holds_log: Callable[[bytes, str], bool], most_bytes: int
) -> Unpacked:
    members = [one for one in archive.infolist() if _is_file(one)]
    if len(members) > _MOST_MEMBERS:
        raise LogUnreadable(
            f"The packed file holds {len(members):,} files; at most {_MOST_MEMBERS:,} are looked through. "
            "Nothing was imported; unpack it and import the log."
        )
    if not members:
        raise LogUnreadable("The packed file holds no file. Nothing was imported.")
    if part:
        members = [one for one in members if part in (one.filename, _base(one.filename))][:1]
        if not members:
            raise LogUnreadable(f"The packed file holds no file called '{part}'. Nothing was imported.")
    if len(members) == 1:
        return Unpacked(_read(archive, members[0], most_bytes), _base(members[0].filename))
    logs = [one for one in members if holds_log(_head(archive, one), one.filename)]
    if len(logs) > 1:
        raise SeveralLogs([one.filename for one in logs], f"The packed file holds {len(logs)} logs")
    if not logs:
        raise LogUnreadable(
            f"None of the {len(members)} files in the packed file is a log: {_listed(members)}. Nothing was "
            "imported; unpack it and import the log."
        )
    others = _listed(one for one in members if one is not logs[0])
    data = _read(archive, logs[0], most_bytes)
    return Unpacked(data, _base(logs[0].filename), f"Read was {_base(logs[0].filename)}; not read: {others}.")


def _is_file(member: zipfile.ZipInfo) -> bool:
    hidden = _base(member.filename).startswith(".") or member.filename.startswith("__MACOSX/")
    return not member.is_dir() and not hidden and member.file_size > 0


def _base(path: str) -> str:
    return path.replace("\\", "/").rsplit("/", 1)[-1]


def _listed(members: Iterable[zipfile.ZipInfo]) -> str:
    names = [_base(one.filename) for one in members]
    return ", ".join(names[:6]) + (" ..." if len(names) > 6 else "")


def _head(archive: zipfile.ZipFile, member: zipfile.ZipInfo) -> bytes:
    if member.flag_bits & 1:
        return b""
    with archive.open(member) as file:
        return file.read(HEAD_BYTES)


def _read(archive: zipfile.ZipFile, member: zipfile.ZipInfo, most_bytes: int) -> bytes:
    if member.flag_bits & 1:
        raise LogUnreadable(
            f"{_base(member.filename)} is packed with a password. Nothing was imported; unpack it first."
        )
    pieces: list[bytes] = []
    size = 0
    with archive.open(member) as file:
        while piece := file.read(_PIECE):
            size += len(piece)
            _refuse_beyond(size, member.compress_size, most_bytes)
            pieces.append(piece)
    return b"".join(pieces)


def _refuse_beyond(size: int, packed: int, most_bytes: int) -> None:
    if size > most_bytes:
        raise LogUnreadable(
            f"The file unpacks to more than {most_bytes / 1e6:,.0f} MB. Nothing was imported; export a "
            "shorter stretch or a lower sampling rate."
        )
    if size > _RATIO_FROM and size > _RATIO * packed:
        raise LogUnreadable(
            f"The file unpacks to more than {_RATIO} times its size, as no log does. Nothing was imported."
        )
