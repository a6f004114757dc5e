"""Moments of a session as people write them: minutes and seconds."""

from __future__ import annotations

import re

from knowngood.formatting import clock

_CLOCK = re.compile(r"(?:(?P<hours>\d+):)?(?P<minutes>\d+):(?P<seconds>[0-5]?\d(?:[.,]\d+)?)")
_SECONDS = re.compile(r"(?P<seconds>\d+(?:[.,]\d+)?)\s*s?")
_TENTH_S = 0.1


def parse_moment(text: str) -> float:
    """The moment in seconds that a text names: ``4:31``, ``1:02:05``, ``271``, ``271.5 s``.

    Raises
    ------
    ValueError
        When it names none; the text is meant for the reader.

    >>> [parse_moment(text) for text in ("4:31", "1:02:05", "271,5 s")]
    [271.0, 3725.0, 271.5]
    """
    found = _CLOCK.fullmatch(text.strip()) or _SECONDS.fullmatch(text.strip())
    if found is None:
        raise ValueError(f"'{text.strip()}' is no moment; write minutes and seconds, such as 4:31.")
    parts = found.groupdict()
    seconds = float(parts["seconds"].replace(",", "."))
    return 3600.0 * int(parts.get("hours") or 0) + 60.0 * int(parts.get("minutes") or 0) + seconds


def moment_text(at_s: float) -> str:
    """A moment as it is written in a field, with tenths where it has any.

    >>> moment_text(271.0), moment_text(271.26), moment_text(59.97)
    ('4:31', '4:31.3', '1:00')
    """
    tenths = round(at_s / _TENTH_S)
    whole, rest = divmod(tenths, 10)
    return f"{clock(float(whole))}.{rest}" if rest else clock(float(whole))
