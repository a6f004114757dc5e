"""From the bytes of a log file to its text, and what to do when it is none."""

from __future__ import annotations

from knowngood_refdata import text_files
from knowngood_refdata.logs import LogUnreadable
from knowngood_refdata.text_files import FileText, TextFault, TextUnreadable

__all__ = ["LARGEST_BYTES", "LogUnreadable", "decode", "without_zeros"]

LARGEST_BYTES = 200_000_000
_FEWEST_ZEROS = 8
_LOOKED_AT = 65_536
_ADVICE = {
    TextFault.EMPTY: "Nothing was imported; record or export the log again.",
    TextFault.BLANK: "Nothing was imported.",
    TextFault.TOO_LARGE: "Nothing was imported; export a shorter stretch or a lower sampling rate.",
    TextFault.OTHER_FILE: "Nothing was imported; export the log as CSV and import that.",
    TextFault.DAMAGED: "Nothing was imported; export the log again.",
    TextFault.BINARY: "Nothing was imported; export the log as CSV and import that.",
}


def without_zeros(data: bytes) -> tuple[bytes, str]:
    r"""A text without the zeros that a logger whose supply failed left at its end, and that in words.

    >>> without_zeros(b"Time,P low\n0,30\n" + bytes(512))[0]
    b'Time,P low\n0,30\n'
    """
    text = data.rstrip(b"\0")
    zeros = len(data) - len(text)
    if zeros < _FEWEST_ZEROS or b"\0" in text[:_LOOKED_AT]:
        return data, ""
    return text, f"The file ends with {zeros:,} zero bytes, as a lost supply leaves them; they were left out."


def decode(data: bytes) -> FileText:
    r"""The text of a log: see `knowngood_refdata.text_files.decode`.

    Raises
    ------
    LogUnreadable
        When the file is empty, larger than `LARGEST_BYTES`, or not text.

    >>> decode("Time;T °C".encode("cp1252"))
    FileText(utf8=b'Time;T \xc2\xb0C', encoding='cp1252')
    """
    try:
        return text_files.decode(data, LARGEST_BYTES)
    except TextUnreadable as error:
        raise LogUnreadable(f"{error} {_ADVICE[error.fault]}") from None
