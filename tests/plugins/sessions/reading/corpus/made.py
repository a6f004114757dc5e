"""A log whose every value tells its column and its row, and what is wrong with a file made of it."""

from __future__ import annotations

from dataclasses import dataclass

COUNT = 120
COLUMNS = ("P low", "P high", "T suction", "RPM")
UNITS = {"Time": "s", "P low": "psig", "P high": "psig", "T suction": "°F", "RPM": "rpm"}
HEADER = ("Time (s)", *(f"{name} ({UNITS[name]})" for name in COLUMNS))
_BASE = {"P low": 30, "P high": 150, "T suction": 45, "RPM": 750}


def value(column: str, row: int) -> str:
    """The value of a channel in a row as written, unlike every other one of the log."""
    # The values jump to and fro, as what rises evenly may be a time; with a check digit, so that no other
    # single digit makes a value of another row.
    tens, ones = divmod(37 * row % 100, 10)
    check = (tens + 3 * ones + 7 * (row // 100)) % 10
    return f"{_BASE[column] + row // 100}.{tens}{ones}{check}7"


TRUTH = {float(value(column, row)): (column, row) for column in COLUMNS for row in range(COUNT)}
assert len(TRUTH) == len(COLUMNS) * COUNT


def cells(row: int, time: str | None = None) -> list[str]:
    """The cells of a row; the time is its number in seconds unless given."""
    return [str(row) if time is None else time, *(value(column, row) for column in COLUMNS)]


def lines(delimiter: str = ",", decimal: str = ".", header: tuple[str, ...] = HEADER) -> list[str]:
    """The lines of a good log."""
    rows = (delimiter.join(cells(row)).replace(".", decimal) for row in range(COUNT))
    return [delimiter.join(header), *rows]


def joined(text: list[str], end: str = "\n") -> bytes:
    """The bytes of lines."""
    return (end.join(text) + end).encode()


@dataclass(frozen=True)
class Case:
    """A file and what must become of it.

    One holds: it is refused in words that hold ``refused``; or it is read, the notices hold ``told`` (empty:
    nothing need be told), and ``rows`` of its rows become samples. ``either`` leaves open which, as a byte
    that was flipped may be one that nobody needs.

    ``free`` tells that some values were changed in the file, so that they need not be known ones.
    ``in_time`` tells that the samples stand at the seconds of their rows.
    """

    name: str
    data: bytes
    refused: str = ""
    told: str = ""
    rows: int = COUNT
    free: bool = False
    in_time: bool = True
    either: bool = False
    file_name: str = "log.csv"

    @property
    def is_refused(self) -> bool:
        """Whether the file must be refused."""
        return bool(self.refused)
