"""What a plot shows as a table in a text file: chosen channels over a stretch of time, units in the head."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from typing import IO, TYPE_CHECKING

import numpy as np
import polars as pl

from knowngood_refdata.formula_cells import guarded
from knowngood_sessions.sureness import sure_within
from knowngood_sessions.traces import measure_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from pathlib import Path

    from numpy.typing import NDArray

    from knowngood.formatting import System
    from knowngood_sessions.gather import Session
    from knowngood_sessions.traces import Measure, Trace

    Column = tuple[Trace, Measure]

_BLOCK = 16_384
"""Rows written in one go: enough to be fast, so few that cancelling is at once and little memory is taken."""
_MORE_DECIMALS = 2
"""A file is read by programs: it carries more digits than a screen."""
_TIME_DECIMALS = 3
_DIGITS = 38
_LARGEST_FIXED = 1e15
"""Beyond it a double holds no decimals: such values are written with an exponent."""


def write_csv(
    path: Path,
    session: Session,
    chosen: Sequence[Trace],
    span_s: tuple[float, float],
    system: System,
    proceed: Callable[[float], None] = lambda _: None,
    *,
    decimal_comma: bool = False,
) -> int:
    """Write the samples of a stretch, a row a sample; how many there are.

    With a decimal comma, cells are parted by semicolons.

    The file stands at ``path`` only once it is whole. What comes from outside and begins like a formula is
    written so that no spreadsheet runs it.

    Raises
    ------
    OSError
        When it cannot be written.
    """
    columns = [(one, measure_of(one, system, session.barometer_pa)) for one in chosen]
    time_s = session.recording.time_s
    first = int(np.searchsorted(time_s, span_s[0], side="left"))
    last = int(np.searchsorted(time_s, span_s[1], side="right"))
    part = path.with_name(f".{path.name}.part")
    try:
        with part.open("wb") as file:
            file.write(_head_line(columns, ";" if decimal_comma else ",").encode("utf-8-sig"))
            for start in range(first, last, _BLOCK):
                proceed(min(0.99, (start - first) / (last - first)))
                _write_rows(file, session, columns, slice(start, min(start + _BLOCK, last)), decimal_comma)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    return max(0, last - first)


def head(trace: Trace, measure: Measure) -> str:
    """The head of a column: ``low side (psig)``."""
    return guarded(f"{trace.title} ({measure.label})" if measure.label else trace.title)


def _head_line(columns: Sequence[Column], separator: str) -> str:
    text = io.StringIO()
    csv.writer(text, delimiter=separator).writerow(
        ["Time (s)", *(one for column in columns for one in _heads(*column))]
    )
    return text.getvalue()


def _heads(trace: Trace, measure: Measure) -> Iterator[str]:
    yield head(trace, measure)
    if trace.worked_out:
        yield head(replace(trace, title=f"{trace.title}, 95 % within \N{PLUS-MINUS SIGN}"), measure)


def _write_rows(
    file: IO[bytes], session: Session, columns: Sequence[Column], part: slice, decimal_comma: bool
) -> None:
    sure = sure_within(session, part)
    cells = [one for trace, measure in columns for one in _cells(trace, measure, part, sure)]
    moments = _moments(session.recording.time_s[part])
    if decimal_comma:
        moments = moments.str.replace(".", ",", literal=True)
    frame = pl.DataFrame([one.alias(str(place)) for place, one in enumerate([moments, *cells])])
    frame.write_csv(
        file,
        include_header=False,
        line_terminator="\r\n",
        separator=";" if decimal_comma else ",",
        decimal_comma=decimal_comma,
    )


def _moments(time_s: NDArray[np.float64]) -> pl.Series:
    """Moments without needless zeros: ``100``, ``100.05``."""
    written = _fixed(time_s, _TIME_DECIMALS).cast(pl.String)
    return written.str.strip_chars_end("0").str.strip_chars_end(".")


def _cells(
    trace: Trace, measure: Measure, part: slice, sure: Mapping[str, NDArray[np.float64]]
) -> Iterator[pl.Series]:
    """A channel, and how sure it is where it is worked out."""
    values, decimals = trace.values[part], measure.decimals + _MORE_DECIMALS
    yield _fixed(measure.array(values), decimals)
    if trace.worked_out:
        reach = sure.get(trace.key)
        yield _fixed(np.full(values.shape, np.nan) if reach is None else reach * measure.factor, decimals)


def _fixed(values: NDArray[np.float64], decimals: int) -> pl.Series:
    """Numbers with so many decimals, nothing where there is no finite one; (k,)."""
    finite = np.isfinite(values)
    column = pl.Series(np.where(finite, values, np.nan), nan_to_null=True)
    if np.abs(values, out=np.zeros_like(values), where=finite).max(initial=0.0) >= _LARGEST_FIXED:
        return column
    return column.cast(pl.Decimal(_DIGITS, decimals))
