"""More of a log that was opened before: further bytes of a growing file become further samples.

For whoever follows a file while the logger writes it: open what is there with
`knowngood_sessions.core.mapping.importing.prepare`, have the mapping confirmed, make a `Known` of both, and
hand each further piece of the file to `more`. Time goes on in the file's own seconds; subtract the first time
of what was read before.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.logs import LogTable, LogUnreadable
from knowngood_refdata.records import Role
from knowngood_sessions.core.reading.clock import CLOCK, DAY_S, moments
from knowngood_sessions.core.reading.layout import Layout
from knowngood_sessions.core.reading.reader import labels_of, tabulated
from knowngood_sessions.core.reading.split import split_lines

from .mapping import time_column

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from .assignment import Assignment


@dataclass(frozen=True, slots=True, eq=False)
class Known:
    """How a text log that was opened before is laid out and what its columns are; see `known`."""

    layout: Layout
    decimal: str
    encoding: str
    mapping: Mapping[str, Assignment]
    codes: Mapping[str, tuple[float, ...]]


@dataclass(frozen=True, slots=True, eq=False)
class More:
    """Samples of further lines, in the file's own seconds and units, by column name.

    ``rest`` are the bytes of a line that is not complete yet: put them before the next piece.
    ``left_out`` counts lines that have not the fields of the header or no readable time.
    """

    time_s: NDArray[np.float64]  # (n,)
    values: Mapping[str, NDArray[np.float64]]  # each (n,)
    rest: bytes
    left_out: int


def known(table: LogTable, mapping: Mapping[str, Assignment]) -> Known:
    """What must be known of an opened log to read on in it.

    Raises
    ------
    LogUnreadable
        When the log is no text with one row a time, which alone can be read on.
    """
    if table.first_data_line < 0 or len(table.header) < 2 or table.long_form:
        raise LogUnreadable(
            "Only a text log with one row a time can be followed. Import the file once it is complete."
        )
    layout = Layout(
        table.delimiter,
        len(table.header),
        table.preamble,
        table.header,
        table.unit_row,
        table.first_data_line,
    )
    codes = {one.name: one.codes for one in table.columns if one.codes}
    return Known(layout, table.decimal, table.encoding, dict(mapping), codes)


def more(log: Known, data: bytes, after_s: float | None = None) -> More:
    """The samples of the complete lines in further bytes of a known log.

    Parameters
    ----------
    data
        Bytes of the file from the start of a line on.
    after_s
        The last time of what was read before, by which a clock past midnight goes on; None at the start.

    Raises
    ------
    LogUnreadable
        When the mapping names no time.
    """
    complete, rest = _complete(data, log.encoding)
    name = time_column(log.mapping)
    if name is None:
        raise LogUnreadable("No column holds the time; the log cannot be followed.")
    body = split_lines(_utf8(complete, log.encoding), log.layout)
    nothing = {column: np.empty(0) for column in log.mapping}
    if len(body.lines) == 0:
        return More(np.empty(0), nothing, rest, len(body.ragged))
    labels = labels_of(log.layout.header, log.layout.unit_row)
    table = tabulated(labels, body.columns, body.lines, log.decimal)
    # A few lines may hold no value in a column, which then has no name of its own in the table.
    columns = {column.name: column for column in table.columns}
    time_s = _gone_on(moments(columns[name], log.mapping[name].unit).time_s, log, name, after_s)
    timed = np.isfinite(time_s)
    values = dict(nothing)
    for column in log.mapping:
        numbers = columns[column].numbers if column in columns else np.full(time_s.size, np.nan)
        numbers = np.where(np.isin(numbers, log.codes.get(column, ())), np.nan, numbers)
        values[column] = numbers[timed]
    left_out = len(body.ragged) + int((~timed).sum())
    return More(time_s[timed], values, rest, left_out)


def channel_names(log: Known) -> tuple[str, ...]:
    """The columns that are channels, in the order of the mapping."""
    return tuple(name for name, one in log.mapping.items() if isinstance(one.use, Role))


def _gone_on(
    time_s: NDArray[np.float64], log: Known, name: str, after_s: float | None
) -> NDArray[np.float64]:
    """Clock times of a later piece counted on from the last time before it, across midnight."""
    finite = time_s[np.isfinite(time_s)]
    if after_s is None or log.mapping[name].unit != CLOCK or finite.size == 0:
        return time_s
    days = max(0.0, round((after_s - float(finite[0])) / DAY_S))
    return np.asarray(time_s + days * DAY_S)


def _complete(data: bytes, encoding: str) -> tuple[bytes, bytes]:
    """The bytes up to and with the last line end, and those behind it."""
    end = "\n".encode(encoding if encoding.startswith("utf-") else "ascii")
    at = data.rfind(end)
    while at >= 0 and at % len(end):
        at = data.rfind(end, 0, at + len(end) - 1)
    return (data[: at + len(end)], data[at + len(end) :]) if at >= 0 else (b"", data)


def _utf8(data: bytes, encoding: str) -> bytes:
    text = data.decode(encoding, "replace")
    return text.replace("\r\n", "\n").replace("\r", "\n").encode("utf-8", "replace")
