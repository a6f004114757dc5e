"""From the bytes of a file to its text: which encoding, and whether it is text at all."""

from __future__ import annotations

import codecs
from dataclasses import dataclass
from enum import StrEnum

_LOOKED_AT = 65_536
_PIECE_BYTES = 1_000_000
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
MIXED = "utf-8 and cp1252"
"""The name given to a file whose lines do not share one encoding."""


class TextFault(StrEnum):
    """What keeps a file from being read as text; a reader adds what to do about it."""

    EMPTY = "empty"
    BLANK = "blank"
    TOO_LARGE = "too large"
    OTHER_FILE = "another kind of file"
    DAMAGED = "damaged"
    BINARY = "binary"


class TextUnreadable(ValueError):  # noqa: N818 - reads as what it is
    """A file is no text; the message is a sentence that says what was found, ``fault`` which case it is."""

    def __init__(self, fault: TextFault, found: str) -> None:
        super().__init__(found)
        self.fault = fault


@dataclass(frozen=True, slots=True)
class FileText:
    """The text of a file as UTF-8 bytes with plain line ends, and the encoding it came in."""

    utf8: bytes
    encoding: str


def decode(data: bytes, largest_bytes: int, *, line_by_line: bool = False) -> FileText:
    r"""Find the encoding by byte order mark, zero bytes and validity; Windows' cp1252 is the last resort.

    Parameters
    ----------
    data
        The file as it is.
    largest_bytes
        A larger file is refused.
    line_by_line
        Where a file is not UTF-8 throughout, decide anew for each line, as a table that was pasted
        together from several files needs it; slower.

    Raises
    ------
    TextUnreadable
        When the file is empty, larger than ``largest_bytes``, or not text.

    >>> decode("Time;T °C".encode("cp1252"), 100)
    FileText(utf8=b'Time;T \xc2\xb0C', encoding='cp1252')
    """
    _refuse_by_size(data, largest_bytes)
    for start, what in _OTHER_FILES:
        if data.startswith(start):
            raise TextUnreadable(TextFault.OTHER_FILE, f"The file is {what}, not text.")
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return _decoded(data[len(mark) :], encoding, line_by_line=line_by_line)
    return _decoded(data, _without_mark(data), line_by_line=line_by_line)


def _refuse_by_size(data: bytes, largest_bytes: int) -> None:
    if not data or data.isspace():
        raise TextUnreadable(TextFault.EMPTY, "The file is empty.")
    if len(data) > largest_bytes:
        raise TextUnreadable(
            TextFault.TOO_LARGE,
            f"The file has {len(data) / 1e6:,.0f} MB; at most {largest_bytes / 1e6:,.0f} MB can be read.",
        )


def _without_mark(data: bytes) -> str:
    head = data[:_LOOKED_AT]
    zeros_even, zeros_odd = head[0::2].count(0), head[1::2].count(0)
    half = len(head) // 2
    if half and max(zeros_even, zeros_odd) > 0.4 * half:
        return "utf-16-le" if zeros_odd > zeros_even else "utf-16-be"
    return "utf-8"


def _decoded(data: bytes, encoding: str, *, line_by_line: bool) -> FileText:
    if encoding == "utf-8":
        return _utf8_or_windows(data, line_by_line=line_by_line)
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        raise TextUnreadable(
            TextFault.DAMAGED,
            f"The file looks like {encoding.upper()} text but is damaged at byte {error.start}.",
        ) from None
    return FileText(_plain(text.encode("utf-8", "surrogatepass")), encoding)


def _utf8_or_windows(data: bytes, *, line_by_line: bool) -> FileText:
    if not _is_utf8(data):
        text, encoding = _mixed(data) if line_by_line else (_windows(data), "cp1252")
        plain = _plain(text.encode("utf-8"))
        if text[:_LOOKED_AT].count("\N{REPLACEMENT CHARACTER}") > _MOST_CONTROLS * len(text[:_LOOKED_AT]):
            raise _binary()
        return FileText(plain, encoding)
    return FileText(_plain(data), "utf-8")


def _is_utf8(data: bytes) -> bool:
    """Whether all bytes are UTF-8, a piece at a time: a text as a whole takes up to four times as much."""
    decoder = codecs.getincrementaldecoder("utf-8")()
    view = memoryview(data)
    try:
        for start in range(0, len(data), _PIECE_BYTES):
            decoder.decode(view[start : start + _PIECE_BYTES])
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return False
    return True


def _windows(data: bytes) -> str:
    # What cp1252 leaves undefined stays visible as a replacement mark.
    return data.decode("cp1252", "replace")


def _mixed(data: bytes) -> tuple[str, str]:
    """The text of lines that are UTF-8 or else cp1252, and what to call that."""
    lines = []
    beyond_ascii = False
    for line in data.split(b"\n"):
        try:
            text = line.decode("utf-8")
            beyond_ascii = beyond_ascii or not line.isascii()
        except UnicodeDecodeError:
            text = _windows(line)
        lines.append(text)
    return "\n".join(lines), MIXED if beyond_ascii else "cp1252"


def _plain(utf8: bytes) -> bytes:
    head = utf8[:_LOOKED_AT]
    controls = sum(1 for byte in head if byte < 32 and byte not in _ALLOWED_CONTROLS)
    if controls > _MOST_CONTROLS * len(head) or b"\0" in utf8:
        raise _binary()
    if b"\r" in utf8:
        utf8 = utf8.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    if not utf8 or utf8.isspace():
        raise TextUnreadable(TextFault.BLANK, "The file holds nothing but blanks.")
    return utf8


def _binary() -> TextUnreadable:
    return TextUnreadable(TextFault.BINARY, "The file is not text but binary data.")
