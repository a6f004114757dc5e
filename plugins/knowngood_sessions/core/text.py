"""From the bytes of a log file to its text, and what to do when it is none."""

from __future__ import annotations

from knowngood_refdata import text_files
from knowngood_refdata.text_files import FileText, TextFault, TextUnreadable

LARGEST_BYTES = 500_000_000
_ADVICE = {
    TextFault.EMPTY: "Nothing was imported; record or export the log again.",
    TextFault.BLANK: "Nothing was imported.",
    TextFault.TOO_LARGE: "Nothing was imported; export a shorter stretch or a lower sampling rate.",
    TextFault.OTHER_FILE: "Nothing was imported; export the log as CSV and import that.",
    TextFault.DAMAGED: "Nothing was imported; export the log again.",
    TextFault.BINARY: "Nothing was imported; export the log as CSV and import that.",
}


class LogUnreadable(ValueError):  # noqa: N818 - reads as what it is
    """A file is no log that can be read. The text says what was found and what to do; nothing was stored."""


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
