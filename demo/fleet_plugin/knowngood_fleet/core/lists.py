"""Lists of a fleet as text tables: units, services, counters and checks, to be entered all at once."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, TypeVar

from knowngood_fleet.core.due import CHECKS
from knowngood_fleet.core.fleet import Counters, Done
from knowngood_fleet.core.leaks import LEFT_SHARE, SCALE_LIMIT_KG, USUAL_LOSS_KG, Service, Work

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    Row = Mapping[str, str]

Record = TypeVar("Record")
COLUMNS = {
    "units": ("unit", "depot", "body", "usual loss g"),
    "services": ("unit", "date", "work", "recovered g", "charged g", "repaired", "note"),
    "counters": ("unit", "date", "hours", "odometer km"),
    "checks": ("unit", "date", "check", "hours", "odometer km", "note"),
}
_WORK = {"weighed in": Work.WEIGHED_IN, "topped up": Work.TOPPED_UP}
_YES = {"yes": True, "no": False, "": False}


class ListRefused(ValueError):  # noqa: N818 - a refusal is an answer
    """A list cannot be taken as it is. The text names the line; nothing of it was stored."""


@dataclass(frozen=True, slots=True)
class Named:
    """A unit as a list names it."""

    name: str
    depot: str
    body: str
    usual_loss_kg: float


def read_units(text: str) -> tuple[Named, ...]:
    """The list of units."""

    def record(row: Row) -> Named:
        usual = _grams(row["usual loss g"])
        return Named(row["unit"], row["depot"], row["body"], USUAL_LOSS_KG if usual is None else usual)

    return _read(text, "units", record)


def read_services(text: str) -> tuple[tuple[str, Service], ...]:
    """The list of services, each with its unit's name."""

    def record(row: Row) -> tuple[str, Service]:
        service = Service(
            date.fromisoformat(row["date"]),
            _one_of(_WORK, row["work"]),
            _grams(row["charged g"]) or 0.0,
            _grams(row["recovered g"]),
            SCALE_LIMIT_KG,
            LEFT_SHARE,
            _one_of(_YES, row["repaired"]),
            row["note"],
        )
        return row["unit"], service

    return _read(text, "services", record)


def read_counters(text: str) -> tuple[tuple[str, Counters], ...]:
    """The list of counters, each with its unit's name."""
    return _read(
        text,
        "counters",
        lambda row: (
            row["unit"],
            Counters(date.fromisoformat(row["date"]), _number(row["hours"]), _number(row["odometer km"])),
        ),
    )


def read_checks(text: str) -> tuple[tuple[str, Done], ...]:
    """The list of checks that were done, each with its unit's name; a check may be named by its beginning."""

    def record(row: Row) -> tuple[str, Done]:
        at, hours, km = (date.fromisoformat(row["date"]), _number(row["hours"]), _number(row["odometer km"]))
        return row["unit"], Done(check_called(row["check"]), at, hours, km, row["note"])

    return _read(text, "checks", record)


def check_called(name: str) -> str:
    """The check that a text is the beginning of.

    Raises
    ------
    ValueError
        When it is the beginning of none.
    """
    for one in CHECKS:
        if name and one.name.casefold().startswith(name.casefold()):
            return one.name
    raise ValueError(f"'{name}' is no check; known are {', '.join(one.name for one in CHECKS)}")


def _read(text: str, kind: str, record: Callable[[Row], Record]) -> tuple[Record, ...]:
    reader = csv.DictReader(io.StringIO(text.removeprefix("\ufeff")), strict=True)
    try:
        _need_columns(reader.fieldnames or (), kind)
        return tuple(record(_cells(row, kind)) for row in reader)
    except (ValueError, csv.Error) as error:
        raise ListRefused(f"{kind}, line {reader.line_num}: {error}. Nothing was stored.") from error


def _need_columns(names: Sequence[str], kind: str) -> None:
    missing = [name for name in COLUMNS[kind] if name not in names]
    if missing:
        raise ValueError(f"the column '{missing[0]}' is missing")


def _cells(row: Mapping[str, str | None], kind: str) -> Row:
    cells = {name: (row[name] or "").strip() for name in COLUMNS[kind]}
    if not cells["unit"]:
        raise ValueError("it names no unit")
    return cells


Choice = TypeVar("Choice")


def _one_of(known: Mapping[str, Choice], text: str) -> Choice:
    if text.casefold() not in known:
        raise ValueError(f"'{text}' is none of {', '.join(repr(one) for one in known if one)}")
    return known[text.casefold()]


def _grams(text: str) -> float | None:
    grams = _number(text)
    return None if grams is None else grams / 1e3


def _number(text: str) -> float | None:
    if not text:
        return None
    number = float(text)
    if not 0.0 <= number < float("inf"):
        raise ValueError(f"'{text}' is no number of zero or more")
    return number
