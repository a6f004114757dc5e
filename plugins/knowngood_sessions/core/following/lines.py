"""Whole lines out of bytes that arrive in any pieces."""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass

_LOOKED_AT = 4_096
_WIDE_MARKS = (
    (codecs.BOM_UTF32_LE, "utf-32-le", 4),
    (codecs.BOM_UTF32_BE, "utf-32-be", 4),
    (codecs.BOM_UTF16_LE, "utf-16-le", 2),
    (codecs.BOM_UTF16_BE, "utf-16-be", 2),
)
_LINE_END = re.compile(rb"\r\n|\r|\n")


@dataclass(frozen=True, slots=True)
class Coding:
    """How characters are written: the codec, and how many bytes a line feed takes."""

    codec: str
    width: int

    @property
    def line_feed(self) -> bytes:
        """The bytes of a line feed."""
        return "\n".encode(self.codec)


def coding_of(head: bytes) -> Coding:
    """The coding by the first bytes of a file: by byte order mark, else by where zero bytes stand.

    >>> coding_of("t;p".encode("utf-16")), coding_of(b"t;p")
    (Coding(codec='utf-16-le', width=2), Coding(codec='utf-8', width=1))
    """
    for mark, codec, width in _WIDE_MARKS:
        if head.startswith(mark):
            return Coding(codec, width)
    looked_at = head[:_LOOKED_AT]
    even, odd, half = looked_at[0::2].count(0), looked_at[1::2].count(0), len(looked_at) // 2
    if half and max(even, odd) > 0.4 * half:
        return Coding("utf-16-le" if odd > even else "utf-16-be", 2)
    return Coding("utf-8", 1)


def whole_part(data: bytes, coding: Coding) -> int:
    r"""How many bytes at the start of ``data`` are whole lines.

    A carriage return ends a line only where no line feed does: behind the last one a line feed may still
    come.

    >>> whole_part(b"1,2\r\n3,", Coding("utf-8", 1)), whole_part(b"1,2\r3,4\r5", Coding("utf-8", 1))
    (5, 8)
    """
    end = data.rfind(coding.line_feed)
    while end > 0 and end % coding.width:
        end = data.rfind(coding.line_feed, 0, end + coding.width - 1)
    if end >= 0:
        return end + coding.width
    if coding.width > 1:
        return 0
    return data.rfind(b"\r", 0, -1) + 1


def plain(data: bytes, coding: Coding) -> bytes:
    """Whole lines as UTF-8 with line feeds alone; what is no UTF-8 is taken for cp1252."""
    try:
        text = data.decode(coding.codec).encode("utf-8", "surrogatepass")
    except UnicodeDecodeError:
        text = data.decode("cp1252", "replace").encode("utf-8")
    if b"\r" in text:
        text = text.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    return text


class Lines:
    """Gives out whole lines and keeps what is not one yet for the next piece.

    Parameters
    ----------
    rest
        The beginning of a line that was read before.
    """

    def __init__(self, coding: Coding, rest: bytes = b"") -> None:
        self._coding = coding
        self._rest = rest

    def feed(self, data: bytes) -> bytes:
        """The lines that are whole now, as UTF-8 with line feeds; empty while there is none."""
        held = self._rest + data
        cut = whole_part(held, self._coding)
        self._rest = held[cut:]
        return plain(held[:cut], self._coding) if cut else b""

    def finish(self) -> bytes:
        """What is left, as the last line; empty when there is nothing."""
        rest, self._rest = self._rest, b""
        whole = rest[: len(rest) - len(rest) % self._coding.width]
        last = plain(whole, self._coding)
        return last if not last or last.endswith(b"\n") else last + b"\n"


def before_line(data: bytes, line: int) -> bytes:
    r"""The bytes of a file before one of its lines, counted from 1.

    >>> before_line(b"t\r\n1\r\n2\r\n", 3)
    b't\r\n1\r\n'
    """
    coding = coding_of(data)
    if coding.width > 1:
        rows = data.decode(coding.codec, "replace").splitlines(keepends=True)
        return "".join(rows[: line - 1]).encode(coding.codec)
    for number, end in enumerate(_LINE_END.finditer(data), 2):
        if number == line:
            return data[: end.end()]
    return data if line > 1 else b""
