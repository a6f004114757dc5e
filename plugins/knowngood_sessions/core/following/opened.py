"""A log as far as it is written: read whole, and everything that is needed to read on from there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.logs import LogTable, LogUnreadable
from knowngood_sessions.core.mapping.mapping import apply_with_notices, time_column
from knowngood_sessions.core.reading.clock import moments
from knowngood_sessions.core.reading.reader import read_log

from .flow import Emitted, Flow
from .rows import Rows
from .times import Times

if TYPE_CHECKING:
    from knowngood_refdata.logs import Notice
    from knowngood_refdata.records import Channel
    from knowngood_sessions.core.mapping.assignment import ColumnMapping


@dataclass(frozen=True, slots=True, eq=False)
class Opened:
    """The samples that are certain, and the readers of what comes behind them."""

    channels: tuple[Channel, ...]
    emitted: Emitted
    notices: tuple[Notice, ...]
    rows: Rows
    times: Times
    flow: Flow


def open_lines(data: bytes, name: str, mapping: ColumnMapping) -> Opened:
    """Read whole lines of a log from its start, as an import of them would.

    Raises
    ------
    LogUnreadable
        When they are no log yet, or time runs backwards and nobody can tell why.
    """
    table = read_log(data, name)
    missing = [column for column in mapping if all(one.name != column for one in table.columns)]
    if missing:
        raise LogUnreadable(f"The log has no column '{missing[0]}', which the mapping names.")
    recording, _, notices = apply_with_notices(table, mapping)
    column = time_column(mapping)
    assert column is not None
    unit_name = mapping[column].unit
    raw_s = moments(table.column(column), unit_name).time_s
    timed = np.isfinite(raw_s)
    raw_s, last_line = raw_s[timed], int(table.lines[timed][-1])
    values = np.array([channel.values for channel in recording.channels])
    # Those under the last stamp but the first one wait: where they lie, the next stamp tells.
    certain = raw_s.size - int(np.argmax(raw_s[::-1] != raw_s[-1])) + 1
    return Opened(
        recording.channels,
        Emitted(recording.time_s[:certain], values[:, :certain]),
        (*table.notices, *notices),
        Rows(table, mapping, column, [one.name for one in recording.channels], _lines_in(data, table)),
        Times(table.column(column), unit_name, table.decimal),
        Flow(raw_s, values, float(recording.time_s[certain - 1]), last_line),
    )


def _lines_in(data: bytes, table: LogTable) -> int:
    """The number of the line behind the last one."""
    wide = table.encoding.startswith(("utf-16", "utf-32"))
    text = data.decode(table.encoding, "replace").encode() if wide else data
    return text.replace(b"\r\n", b"\n").replace(b"\r", b"\n").count(b"\n") + 1
