"""How one field of an exchange record is written as JSON, and read back with words for what does not fit."""

from __future__ import annotations

import base64
import binascii
import math
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from knowngood_refdata.errors import StoreError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from enum import StrEnum

_LARGEST = 2**31 - 1
_DEEPEST = 40


class UnfitFile(StoreError):  # noqa: N818 - reads as what it is
    """An exchange file that cannot be taken in; the text says where, what is wrong, and what to do."""


class Misfit(ValueError):  # noqa: N818 - as above
    """A value that a field cannot hold; the text says what was expected and what stands there."""


@dataclass(frozen=True, slots=True)
class Form:
    """One form of value: its name for people, to JSON, and from JSON (which raises `Misfit`).

    ``empty`` is what stands for an entry that was left out, None where none may be.
    """

    words: str
    write: Callable[[Any], Any]
    read: Callable[[Any], Any]
    empty: Any = None


def same(value: Any) -> Any:
    """A value that JSON holds as it is."""
    return value


def misfit(wanted: str, found: object) -> Misfit:
    """The error for a value that is not what was wanted."""
    return Misfit(f"{wanted} was expected, and '{str(found)[:40]}' stands there")


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise misfit("a text", value)
    if "\0" in value:
        raise Misfit("the text holds a NUL character, which the library cannot keep")
    try:
        value.encode()
    except UnicodeEncodeError:
        raise Misfit("the text holds half a character, which the library cannot keep") from None
    return value


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise misfit("a number", value)
    try:
        number = float(value)
    except OverflowError:
        raise misfit("a finite number", value) from None
    if not math.isfinite(number):
        raise misfit("a finite number", value)
    return number


def _count(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or abs(value) > _LARGEST:
        raise misfit(f"a whole number up to {_LARGEST}", value)
    return value


def _flag(value: Any) -> bool:
    if not isinstance(value, bool):
        raise misfit("true or false", value)
    return value


def _moment(value: Any) -> datetime:
    try:
        moment = datetime.fromisoformat(_text(value))
        if moment.tzinfo is None:
            raise misfit("a time with its zone, as 2025-06-02T09:00:00+00:00,", value)
        return moment.astimezone(UTC)
    except Misfit:
        raise
    except (ValueError, OverflowError):
        raise misfit("a time, as 2025-06-02T09:00:00+00:00,", value) from None


def _bytes(value: Any) -> bytes:
    try:
        return base64.b64decode(_text(value), validate=True)
    except binascii.Error:
        raise misfit("bytes in base64", value) from None


def document(value: Any) -> dict[str, Any]:
    """Named entries that both databases can hold; raises `Misfit`."""
    if not isinstance(value, dict):
        raise misfit("named entries", value)
    _look_through(value, 0)
    return value


def _look_through(value: Any, depth: int) -> None:
    if depth > _DEEPEST:
        raise Misfit(f"entries lie within one another more than {_DEEPEST} deep")
    if isinstance(value, dict):
        for key, inner in value.items():
            _text(key)
            _look_through(inner, depth + 1)
    elif isinstance(value, list):
        for inner in value:
            _look_through(inner, depth + 1)
    elif isinstance(value, str):
        _text(value)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        _number(value)


TEXT = Form("text", same, _text, "")
NUMBER = Form("number", same, _number)
COUNT = Form("whole number", same, _count)
FLAG = Form("true or false", same, _flag)
MOMENT = Form("time", datetime.isoformat, _moment)
BYTES = Form("base64", lambda value: base64.b64encode(value).decode(), _bytes)
DOCUMENT = Form("named entries", same, document)


def choice(words: type[StrEnum], *more: str) -> Form:
    """The form of a field that takes one of some words."""
    known = {one.value for one in words} | set(more)

    def read(value: Any) -> str:
        if _text(value) not in known:
            raise Misfit(f"'{value[:40]}' is not known; known are {', '.join(sorted(known))}")
        return str(value)

    return Form("one of: " + ", ".join([*(one.value for one in words), *more]), same, read)


def instruments(value: Any) -> dict[str, Any]:
    """Instruments that are whole; raises `Misfit`."""
    from knowngood_refdata.queries.conditions import instruments_from_json, instruments_to_json

    try:
        found: Mapping[str, Any] = instruments_to_json(instruments_from_json(document(value)))
    except (KeyError, TypeError):
        raise misfit("the instruments low, high, line and air", value) from None
    for name, fields in found.items():
        for field, inner in fields.items():
            (_text if field == "name" else _number)(inner)
        if not name:
            raise misfit("the instruments low, high, line and air", value)
    return dict(found)


INSTRUMENTS = Form("named entries", same, instruments)
