"""A vacuum record from a file, as the text that `read_decay` takes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .decay_text import DecayUnreadable

if TYPE_CHECKING:
    from pathlib import Path

MOST_BYTES = 200_000
"""Some five hours with a reading a second: longer ones would keep the reader waiting."""

_MARKS = (
    (b"\xef\xbb\xbf", "utf-8-sig"),
    (b"\xff\xfe", "utf-16"),
    (b"\xfe\xff", "utf-16"),
)


def record_text(path: Path) -> str:
    """The text of a file, in UTF-8, in UTF-16 with its mark, or else in the Western Windows letters.

    Raises
    ------
    DecayUnreadable
        When the file cannot be opened, is too large, or holds no text; the message says which.
    """
    try:
        size = path.stat().st_size
        content = path.read_bytes() if size <= MOST_BYTES else b""
    except OSError as error:
        raise DecayUnreadable(f"The file cannot be read: {error.strerror or error}.") from None
    if size > MOST_BYTES:
        raise DecayUnreadable(
            f"The file holds {size / 1e3:.0f} kB, more than {MOST_BYTES / 1e3:.0f} kB. Take out the part "
            "with the valve closed, or keep fewer readings a minute."
        )
    text = _decoded(content)
    if not text.strip():
        raise DecayUnreadable("The file is empty.")
    if any(ord(letter) < 32 and letter not in "\t\r\n\f" for letter in text):
        raise DecayUnreadable(
            "The file holds no text. Save the record as text or CSV where it was recorded, and import that."
        )
    return text


def _decoded(content: bytes) -> str:
    encoding = next((encoding for mark, encoding in _MARKS if content.startswith(mark)), "utf-8")
    try:
        return content.decode(encoding)
    except UnicodeDecodeError:
        if encoding != "utf-8":
            raise DecayUnreadable("The file breaks off in the middle of a letter: copy it anew.") from None
    return content.decode("cp1252", errors="replace")
