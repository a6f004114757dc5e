"""A log as a reader hands it on: columns of numbers or text under their names, whatever the file was.

A reader of a format of its own needs no more than this::

    Column.of("P low", "psig", [30.1, 30.2, 30.3])
    LogTable.of("run 14.dat", [time, low, high], time="Time")
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import ArrayLike, NDArray

_EXAMPLES = 5
_CLOCK = r"\d{1,3}:\d{2}(?::\d{2})?(?:[.,:]\d+)?(?:\s*[AaPp]\.?[Mm]\.?)?"
ISO_DATE = r"\d{4}[-/.]\d{1,2}[-/.]\d{1,2}"
OTHER_DATE = r"\d{1,2}[./-]\d{1,2}[./-](?:\d{4}|\d{2})"
NAMED_DATE = r"\d{1,2}[ .-]{1,2}[^\W\d_]{3,9}[ .-]{1,2}(?:\d{4}|\d{2})|[^\W\d_]{3,9} \d{1,2},? \d{4}"
COMPACT = r"\d{8}[T_ ]\d{6}(?:[.,]\d+)?"
ZONE = r"Z|UTC|[+-]\d\d(?::?\d\d)?"
_DATE = rf"(?:{ISO_DATE}|{OTHER_DATE}|{NAMED_DATE})"
_MOMENT = re.compile(
    rf"(?:{_DATE}(?:(?:T|[ ,_]+){_CLOCK}\s*(?:{ZONE})?)?|{COMPACT}(?:{ZONE})?|{_CLOCK}\s*(?:{ZONE})?)"
)


class LogUnreadable(ValueError):  # noqa: N818 - reads as what it is
    """A file is no log that can be read. The text says what was found and what to do; nothing was stored."""


class SeveralLogs(LogUnreadable):
    """A file holds several logs, ``parts`` names them: one must be chosen before anything is read."""

    def __init__(self, parts: Sequence[str], what: str) -> None:
        listed = ", ".join(f"'{one}'" for one in parts[:12]) + (" ..." if len(parts) > 12 else "")
        super().__init__(
            f"{what}: {listed}. Nothing was imported; choose one of them, or save it as a file of its own."
        )
        self.parts = tuple(parts)


class ReaderFailed(Exception):  # noqa: N818 - reads as what happened
    """A reader failed for a reason of its own; the text names its plugin. The next reader is asked."""


@dataclass(frozen=True, slots=True)
class Notice:
    """Something that the user should know, in words; ``column`` is empty when it is about the file."""

    text: str
    column: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """One column: what the header says, its numbers, and its text where it holds more than numbers.

    ``numbers`` is NaN where there is no value; ``missing`` counts the cells left empty or marked as
    missing, ``unreadable`` those that hold something else than a number. ``examples`` are the first
    cells as written. ``cells`` is None where every value is a number. ``codes`` are numbers of the file
    that stand for no value, such as -999; they are NaN in ``numbers``.
    """

    name: str
    unit: str
    numbers: NDArray[np.float64]  # (n,)
    missing: int = 0
    unreadable: int = 0
    examples: tuple[str, ...] = ()
    cells: Sequence[str | None] | None = None  # (n,)
    codes: tuple[float, ...] = ()

    @classmethod
    def of(cls, name: str, unit: str, numbers: ArrayLike) -> Column:
        """A column of numbers (n,), NaN where there is none.

        >>> Column.of("P low", "psig", [30.1, float("nan")]).missing
        1
        """
        values = np.array(numbers, dtype=np.float64)
        missing = int(np.isnan(values).sum())
        examples = tuple(f"{one:g}" for one in values[:_EXAMPLES].ravel() if not np.isnan(one))
        return cls(name, unit, values, missing, 0, examples)

    @classmethod
    def of_texts(cls, name: str, unit: str, texts: Iterable[str | None]) -> Column:
        """A column of texts that are no numbers, such as clock times; None where there is none."""
        cells = list(texts)
        missing = sum(one is None for one in cells)
        examples = tuple(one for one in cells if one is not None)[:_EXAMPLES]
        return cls(name, unit, np.full(len(cells), np.nan), missing, len(cells) - missing, examples, cells)

    @property
    def holds_numbers(self) -> bool:
        """Whether most of the values are numbers."""
        return self.unreadable <= 0.5 * (len(self.numbers) - self.missing)

    @property
    def holds_moments(self) -> bool:
        """Whether the cells are clock times or dates."""
        return not self.holds_numbers and any(is_moment(cell) for cell in self.examples)


@dataclass(frozen=True, slots=True, eq=False)
class LogTable:
    """A log as a table of n rows.

    ``lines`` holds the file's line of each row, counted from 1. ``header`` and ``unit_row`` are the cells
    by which a logger set-up is known again; where they are empty the columns' names and units are.
    ``time`` names the column of the time where the reader knows it. ``dialect`` says in words how the
    file was read. ``part`` names which of several logs of the file this is. What follows is told of texts
    alone; ``long_form`` tells that the file has one row a channel and time.
    """

    source_name: str
    columns: tuple[Column, ...]
    lines: NDArray[np.int64]  # (n,)
    header: tuple[str, ...] = ()
    unit_row: tuple[str, ...] = ()
    notices: tuple[Notice, ...] = ()
    time: str = ""
    dialect: str = ""
    part: str = ""
    preamble: tuple[str, ...] = ()
    delimiter: str = ""
    decimal: str = "."
    encoding: str = ""
    long_form: bool = False
    first_data_line: int = -1

    @classmethod
    def of(
        cls,
        source_name: str,
        columns: Iterable[Column],
        *,
        time: str = "",
        dialect: str = "",
        notices: Iterable[str] = (),
    ) -> LogTable:
        """A table of columns, its rows counted from 1."""
        kept = tuple(columns)
        rows = len(kept[0].numbers) if kept else 0
        told = tuple(Notice(text) for text in notices)
        lines = np.arange(1, rows + 1, dtype=np.int64)
        return cls(source_name, kept, lines, notices=told, time=time, dialect=dialect)

    def column(self, name: str) -> Column:
        """The column of a name.

        Raises
        ------
        KeyError
            When there is none.
        """
        for one in self.columns:
            if one.name == name:
                return one
        raise KeyError(name)


def is_moment(cell: str) -> bool:
    """Whether a cell is a clock time, a date, or both.

    >>> [is_moment(cell) for cell in ("10:42:07.5", "2024-08-14T10:42:07Z", "14 Aug 2024 10:42", "30.1")]
    [True, True, True, False]
    """
    return _MOMENT.fullmatch(cell.strip()) is not None


def fault_of(table: LogTable) -> str:
    """What makes a table of a reader useless, in words for its author; empty when nothing does."""
    names = [one.name for one in table.columns]
    rows = len(table.lines)
    if not names or rows == 0:
        return "its log holds no column or no row"
    if not all(isinstance(name, str) and name.strip() for name in names):
        return "a column of its log has no name"
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        return f"its log has several columns called '{twice[0]}'"
    for one in table.columns:
        if not isinstance(one.numbers, np.ndarray) or one.numbers.dtype != np.float64:
            return f"the numbers of '{one.name}' are no array of floats; Column.of makes one"
        if one.numbers.shape != (rows,) or (one.cells is not None and len(one.cells) != rows):
            return f"the column '{one.name}' has not one value for each of the {rows} rows"
        if np.isinf(one.numbers).any():
            return f"the column '{one.name}' holds infinity; NaN stands for no value"
    if table.time and table.time not in names:
        return f"the time column '{table.time}' is none of its columns"
    return ""
