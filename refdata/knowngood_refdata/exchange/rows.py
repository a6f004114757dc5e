"""One record of an exchange file as the columns of a row, every field looked at."""

from __future__ import annotations

from copy import copy
from typing import TYPE_CHECKING, Any

from knowngood_refdata.exchange.checks import Row, check_row
from knowngood_refdata.exchange.forms import COUNT, Misfit
from knowngood_refdata.exchange.kinds import BY_NAME, STAMPS, Field, Kind
from knowngood_refdata.exchange.reading import unfit

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood_refdata.exchange.reading import Record

Ids = dict[str, dict[int, int]]
"""For each kind of record, the ids of the file and the ids that they got in the library."""

_STAMPS = frozenset(one.column for one in STAMPS)


def kind_of(record: Record) -> Kind:
    """The kind of a record.

    Raises
    ------
    UnfitFile
        When it is none that is known.
    """
    name = record.entries.get("record")
    kind = BY_NAME.get(name) if isinstance(name, str) else None
    if kind is None:
        raise unfit(record.place, f"there is no record of the kind '{str(name)[:40]}'")
    return kind


def row_of(kind: Kind, record: Record, ids: Ids) -> Row:
    """The columns of a record, what it refers to as ids of the library.

    Raises
    ------
    UnfitFile
        When anything in it is missing, unknown or impossible, or it refers to what did not stand before it.
    """
    fields = kind.all_fields
    known = {"record", *(one.name for one in fields), *(("id",) if kind.has_id else ())}
    unknown = sorted(record.entries.keys() - known)
    if unknown:
        raise unfit(where(kind, record), f"'{unknown[0][:40]}' is not known here")
    row: Row = {}
    for field in fields:
        value = _value(kind, field, record, ids)
        if value is not None or field.column not in _STAMPS:
            row[field.column] = value
    try:
        check_row(kind.name, row)
    except Misfit as error:
        raise unfit(where(kind, record), str(error)) from None
    return row


def id_of(kind: Kind, record: Record) -> int:
    """The id by which a file's other records refer to a record.

    Raises
    ------
    UnfitFile
        When it has none.
    """
    try:
        return int(COUNT.read(record.entries.get("id")))
    except Misfit as error:
        raise unfit(where(kind, record), f"'id': {error}") from None


def where(kind: Kind, record: Record) -> str:
    """The place of a record, for people: ``Line 17, spec value 4``."""
    number = record.entries.get("id")
    return f"{record.place}, {kind.name}{f' {number}' if isinstance(number, int) else ''}"


def _value(kind: Kind, field: Field, record: Record, ids: Ids) -> Any:
    given = record.entries.get(field.name)
    if given is None:
        return _missing(kind, field, record)
    try:
        value = field.form.read(given)
    except Misfit as error:
        raise unfit(f"{where(kind, record)}, '{field.name}'", str(error)) from None
    if not field.to:
        return value
    found = ids[field.to].get(value)
    if found is None:
        raise unfit(f"{where(kind, record)}, '{field.name}'", f"no {field.to} {value} stands before it")
    return found


def _missing(kind: Kind, field: Field, record: Record) -> Any:
    if field.optional:
        return None
    if field.form.empty is not None:
        return copy(field.form.empty)
    raise unfit(where(kind, record), f"'{field.name}' is missing")


def change_row(row: Row, ids: Ids) -> Row:
    """The columns of an earlier change, with every id that it names as the library's."""
    kind = BY_NAME.get(row["table_name"])
    if kind is None:
        return row
    columns = {one.column: one.to for one in kind.references}
    return {
        **row,
        "table_name": kind.model.__tablename__,
        "row_id": ids[kind.name].get(row["row_id"], 0),
        "before": _renumbered(row["before"], columns, ids),
        "after": _renumbered(row["after"], columns, ids),
    }


def _renumbered(entries: Mapping[str, Any], columns: Mapping[str, str], ids: Ids) -> dict[str, Any]:
    return {
        name: ids[columns[name]].get(value) if name in columns and isinstance(value, int) else value
        for name, value in entries.items()
    }
