"""The tables of a plugin as a zip file: one CSV file a table, and ``tables.json`` with what they are.

The CSV files follow RFC 4180 in UTF-8, the names of the columns first. A text stands in quotation marks; an
empty cell without them holds no value. Times are ISO 8601, bytes base64 (RFC 4648, section 4), truth is
``true`` or ``false``. A text that a spreadsheet would take for a formula begins with an apostrophe, see
`knowngood_refdata.formula_cells`.
"""

from __future__ import annotations

import base64
import json
import zipfile
from datetime import UTC, date, datetime, time
from functools import singledispatch
from io import TextIOWrapper
from typing import IO, TYPE_CHECKING, Any

from sqlalchemy import MetaData, Table, select

from knowngood_refdata.exchange.atomic import whole_bytes
from knowngood_refdata.formula_cells import guarded

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from sqlalchemy import Connection

FORMAT = "knowngood plugin tables"
_AT_ONCE = 1000


def write_export(connection: Connection, plugin: str, step: int, names: Sequence[str], path: Path) -> None:
    """Write tables to a zip file, which stands at ``path`` only once it is whole.

    Raises
    ------
    knowngood_refdata.errors.StoreError
        When it cannot be written; what stood there still stands.
    """
    told: list[dict[str, Any]] = []
    with whole_bytes(path) as file, zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in names:
            table = Table(name, MetaData(), autoload_with=connection, resolve_fks=False)
            with archive.open(f"{name}.csv", "w", force_zip64=True) as member:
                rows = _write(connection, table, member)
            columns = [{"name": one.name, "type": str(one.type)} for one in table.columns]
            told.append({"name": name, "rows": rows, "columns": columns})
        head = {
            "format": FORMAT,
            "plugin": plugin,
            "step": step,
            "written_at": datetime.now(UTC).isoformat(),
            "tables": told,
        }
        archive.writestr("tables.json", json.dumps(head, indent=1, ensure_ascii=False))


def _write(connection: Connection, table: Table, member: IO[bytes]) -> int:
    out = TextIOWrapper(member, "utf-8", newline="")
    out.write(_line(one.name for one in table.columns))
    rows = 0
    order = list(table.primary_key.columns)
    for row in connection.execute(select(table).order_by(*order).execution_options(yield_per=_AT_ONCE)):
        out.write(_line(row))
        rows += 1
    out.flush()
    out.detach()
    return rows


def _line(values: Iterable[object]) -> str:
    return ",".join(cell(value) for value in values) + "\r\n"


@singledispatch
def cell(value: object) -> str:
    """A value as it stands in a CSV file; a number as Python writes it, so that reading gives it back.

    >>> [cell(one) for one in (None, 0.1, True)]
    ['', '0.1', 'true']
    >>> print(cell('the "S" car'), cell("=1+1"), cell(b"k"))
    "the ""S"" car" "'=1+1" "aw=="
    """
    return "" if value is None else str(value)


@cell.register
def _(value: str) -> str:
    doubled = guarded(value).replace('"', '""')
    return f'"{doubled}"'


@cell.register
def _(value: bool) -> str:
    return "true" if value else "false"


@cell.register
def _(value: bytes) -> str:
    return f'"{base64.b64encode(value).decode("ascii")}"'


@cell.register(date)
@cell.register(time)
def _(value: date | time) -> str:
    return value.isoformat()


@cell.register(dict)
@cell.register(list)
def _(value: object) -> str:
    return cell(json.dumps(value, ensure_ascii=False))
