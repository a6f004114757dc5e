"""What a plot shows as a table in a text file: chosen channels over a stretch of time, units in the head."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

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

_TOLD_EVERY = 5_000
_BLOCK = 8_192
_MORE_DECIMALS = 2
"""A file is read by programs: it carries more digits than a screen."""


def write_csv(
    path: Path,
    session: Session,
    chosen: Sequence[Trace],
    span_s: tuple[float, float],
    system: System,
    proceed: Callable[[float], None] = lambda _: None,
) -> int:
    """Write the samples of a stretch, a row a sample; how many there are.

    The file stands at ``path`` only once it is whole. What comes from outside and begins like a formula is
    written so that no spreadsheet runs it.

    Raises
    ------
    OSError
        When it cannot be written.
    """
    part = path.with_name(f".{path.name}.part")
    try:
        with part.open("w", encoding="utf-8-sig", newline="") as file:
            count = 0
            for line in rows(session, chosen, span_s, system):
                file.write(line)
                count += 1
                if count % _TOLD_EVERY == 0:
                    proceed(min(0.99, count / max(1, session.recording.time_s.size)))
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    return count - 1


def rows(
    session: Session, chosen: Sequence[Trace], span_s: tuple[float, float], system: System
) -> Iterator[str]:
    """The lines of the file, the head first."""
    columns = [(one, measure_of(one, system, session.barometer_pa)) for one in chosen]
    yield _line(["Time (s)", *(text for one, measure in columns for text in _heads(one, measure))])
    time_s = session.recording.time_s
    first = int(np.searchsorted(time_s, span_s[0], side="left"))
    last = int(np.searchsorted(time_s, span_s[1], side="right"))
    for start in range(first, last, _BLOCK):
        part = slice(start, min(start + _BLOCK, last))
        moments = [f"{one:.3f}".rstrip("0").rstrip(".") for one in time_s[part]]
        sure = sure_within(session, part)
        cells = [texts for one, measure in columns for texts in _cells(one, measure, part, sure)]
        for row in zip(moments, *cells, strict=True):
            yield _line(row)


def head(trace: Trace, measure: Measure) -> str:
    """The head of a column: ``low side (psig)``."""
    return guarded(f"{trace.title} ({measure.label})" if measure.label else trace.title)


def _heads(trace: Trace, measure: Measure) -> Iterator[str]:
    yield head(trace, measure)
    if trace.worked_out:
        yield head(replace(trace, title=f"{trace.title}, 95 % within \N{PLUS-MINUS SIGN}"), measure)


def _cells(
    trace: Trace, measure: Measure, part: slice, sure: Mapping[str, NDArray[np.float64]]
) -> Iterator[list[str]]:
    """The texts of a channel, and of how sure it is where it is worked out."""
    form = f"{{:.{measure.decimals + _MORE_DECIMALS}f}}"
    yield _texts(measure.array(trace.values[part]), form)
    if trace.worked_out:
        reach = sure.get(trace.key)
        yield _texts(
            np.full(trace.values[part].shape, np.nan) if reach is None else reach * measure.factor, form
        )


def _texts(values: NDArray[np.float64], form: str) -> list[str]:
    return [form.format(one) if np.isfinite(one) else "" for one in values.tolist()]


def _line(cells: Sequence[str]) -> str:
    text = io.StringIO()
    csv.writer(text).writerow(cells)
    return text.getvalue()
