"""Raw frames of a vehicle's bus, told from readings: which bytes mean what stands in no such file."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from knowngood_refdata.logs import LogUnreadable

if TYPE_CHECKING:
    from collections.abc import Sequence

_HEX_PAIR = r"[0-9A-Fa-f]{2}"
_HEX_PAIRS = rf"(?:{_HEX_PAIR}[ \t]+){{1,7}}{_HEX_PAIR}"
_ALONE = r"(?<![0-9A-Za-z])"
_FRAMES = (
    # An identifier and its bytes, joined: 244#2A366C2BBA
    re.compile(rf"{_ALONE}[0-9A-Fa-f]{{3,8}}#(?:R\d?|#[0-9A-Fa-f]|[0-9A-Fa-f.]{{2,}})"),
    # The number of bytes in brackets or bare before them: 123 [8] 11 22 ..., 7E8 Rx d 8 03 41 ...
    re.compile(rf"{_ALONE}[0-9A-Fa-f]{{3,8}}\s+\[\d{{1,2}}\](?:\s+{_HEX_PAIR})+"),
    re.compile(rf"{_ALONE}(?:0x)?[0-9A-Fa-f]{{3,8}}x?\s+(?:[RT]x\s+)?(?:d\s+)?\d\s+{_HEX_PAIRS}\b"),
    # A serial adapter's lines: t7E8803410C1AF8, or the bare bytes behind an identifier: 7E8 03 41 0C
    re.compile(r"^\s*[tT][0-9A-Fa-f]{4,9}(?:[0-9A-Fa-f]{2}){1,8}\s*$"),
    re.compile(rf"^\s*(?:[0-9A-Fa-f]{{3}}|{_HEX_PAIR}(?: {_HEX_PAIR}){{2,3}})\s+{_HEX_PAIRS}\s*$"),
    # All bytes of a frame in one cell of a table; a clock time or a date has no more than three pairs.
    re.compile(rf"(?:^|[,;\t]) *\"?(?:0x)?{_HEX_PAIR}(?: {_HEX_PAIR}){{2,63}}\"? *(?:$|[,;\t])"),
    re.compile(rf"(?:^|[,;\t]) *\"?{_HEX_PAIR}(?:[:.-]{_HEX_PAIR}){{4,63}}\"? *(?:$|[,;\t])"),
    re.compile(rf"(?:^|[,;\t]) *\"?(?:0x)?(?:{_HEX_PAIR}){{6,64}}\"? *(?:$|[,;\t])"),
)
_ID = frozenset({"id", "arbitration_id", "arbid", "can id", "can_id", "canid", "identifier", "pgn"})
_BYTE = re.compile(r"(?:d|b|data|byte|db)[ _]?\[?\d\]?", re.IGNORECASE)
_ENOUGH = 0.5
_FEWEST = 3
_BYTES = 4
_LONGEST = 400
"""A line with a frame in it is no longer than that; the rest of a longer one is not looked at."""


def refuse_frames(lines: Sequence[str]) -> None:
    """Refuse raw frames, by the first lines of a file.

    Raises
    ------
    LogUnreadable
        When most lines are frames, or the header names an identifier and single bytes.
    """
    filled = [line[:_LONGEST] for line in lines if line.strip()]
    hits = [hit[0] for line in filled if (hit := _first_hit(line))]
    # Decimal digits alone may be readings; among bytes a letter comes up at once.
    hexadecimal = any(re.search(r"\d[A-Fa-f]|[A-Fa-f]\d|\b[A-Fa-f]{2}\b", hit) for hit in hits)
    if len(hits) >= _FEWEST and hexadecimal and len(hits) >= _ENOUGH * len(filled):
        raise _refusal()
    if any(_names_bytes(line) for line in filled[:20]):
        raise _refusal()


def _first_hit(line: str) -> re.Match[str] | None:
    return next((hit for pattern in _FRAMES if (hit := pattern.search(line))), None)


def _names_bytes(line: str) -> bool:
    cells = [cell.strip(' "').casefold() for cell in re.split(r"[,;\t]", line)]
    return bool(_ID & set(cells)) and sum(_BYTE.fullmatch(cell) is not None for cell in cells) >= _BYTES


def _refusal() -> LogUnreadable:
    return LogUnreadable(
        "The file holds raw frames of a vehicle's bus, not readings: which bytes mean a pressure, in which "
        "scale, is known to the maker alone. Nothing was imported; have the tool that recorded it export "
        "decoded values, one column a signal."
    )
