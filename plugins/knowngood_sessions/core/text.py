"""From the bytes of a log file to its text: which encoding, and whether it is text at all."""

from __future__ import annotations

import codecs
from dataclasses import dataclass

LARGEST_BYTES = 500_000_000
_LOOKED_AT = 65_536
_MOST_CONTROLS = 0.01
_ALLOWED_CONTROLS = frozenset(b"\t\n\r\f\x1a")
_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_OTHER_FILES = (
    (b"PK\x03\x04", "a spreadsheet workbook or another packed file"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet workbook"),
    (b"%PDF", "a PDF document"),
    (b"\x1f\x8b", "a compressed file"),
    (b"SQLite format 3", "a database"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
)


class LogUnreadable(ValueError):  # noqa: N818 - reads as what it is
    """A file is no log that can be read. The text says what was found and what to do; nothing was stored."""


@dataclass(frozen=True, slots=True)
class LogText:
    """The text of a log as UTF-8 bytes with plain line ends, and the encoding it came in."""

    utf8: bytes
    encoding: str


def decode(data: bytes) -> LogText:
    r"""Find the encoding by byte order mark, zero bytes and validity; Windows' cp1252 is the last resort.

    Raises
    ------
    LogUnreadable
        When the file is empty, larger than `LARGEST_BYTES`, or not text.

    >>> decode("Time;T °C".encode("cp1252"))
    LogText(utf8=b'Time;T \xc2\xb0C', encoding='cp1252')
    """
    _refuse_by_size(data)
    _refuse_other_files(data)
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return _decoded(data[len(mark) :], encoding)
    return _decoded(data, _without_mark(data))


def _refuse_by_size(data: bytes) -> None:
    if not data.strip():
        raise LogUnreadable("The file is empty. Nothing was imported; record or export the log again.")
    if len(data) > LARGEST_BYTES:
        raise LogUnreadable(
            f"The file has {len(data) / 1e6:,.0f} MB; at most {LARGEST_BYTES / 1e6:,.0f} MB can be read. "
            "Nothing was imported; export a shorter stretch or a lower sampling rate."
        )


def _refuse_other_files(data: bytes) -> None:
    for start, what in _OTHER_FILES:
        if data.startswith(start):
            raise LogUnreadable(
                f"The file is {what}, not text. Nothing was imported; export the log as CSV and import that."
            )


def _without_mark(data: bytes) -> str:
    head = data[:_LOOKED_AT]
    zeros_even, zeros_odd = head[0::2].count(0), head[1::2].count(0)
    half = len(head) // 2
    if half and max(zeros_even, zeros_odd) > 0.4 * half:
        return "utf-16-le" if zeros_odd > zeros_even else "utf-16-be"
    return "utf-8"


def _decoded(data: bytes, encoding: str) -> LogText:
    if encoding == "utf-8":
        return _utf8_or_windows(data)
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        raise LogUnreadable(
            f"The file looks like {encoding.upper()} text but is damaged at byte {error.start}. "
            "Nothing was imported; export the log again."
        ) from None
    return LogText(_plain(text.encode("utf-8", "surrogatepass")), encoding)


def _utf8_or_windows(data: bytes) -> LogText:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        # What cp1252 leaves undefined stays visible as a replacement mark.
        text = data.decode("cp1252", "replace")
        plain = _plain(text.encode("utf-8"))
        if text[:_LOOKED_AT].count("\N{REPLACEMENT CHARACTER}") > _MOST_CONTROLS * len(text[:_LOOKED_AT]):
            raise _binary() from None
        return LogText(plain, "cp1252")
    return LogText(_plain(data), "utf-8")


def _plain(utf8: bytes) -> bytes:
    head = utf8[:_LOOKED_AT]
    controls = sum(1 for byte in head if byte < 32 and byte not in _ALLOWED_CONTROLS)
    if controls > _MOST_CONTROLS * len(head) or b"\0" in utf8:
        raise _binary()
    if b"\r" in utf8:
        utf8 = utf8.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    if not utf8.strip():
        raise LogUnreadable("The file holds nothing but blanks. Nothing was imported.")
    return utf8


def _binary() -> LogUnreadable:
    return LogUnreadable(
        "The file is not text but binary data. Nothing was imported; export the log as CSV and import that."
    )
