"""A header in the middle of a log, where a logger was started anew: the same once more, or another one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.logs import LogUnreadable

from .cells import is_missing, is_value

if TYPE_CHECKING:
    from collections.abc import Sequence

    import polars as pl
    from numpy.typing import NDArray

    from knowngood_refdata.logs import LogTable

    from .layout import Layout

_MOST_LOOKED_AT = 1_000


def headers_again(piece: bytes, starts: NDArray[np.intp], layout: Layout) -> list[int]:
    """The lines among those of a piece, from 0, that say what header and unit row of the log say.

    Parameters
    ----------
    starts
        Where each line starts, and where the last one ends.
    """
    wanted = [row for row in (layout.header, layout.unit_row) if any(row)]
    return sorted({line for row in wanted for line in _lines_saying(piece, starts, row, layout.delimiter)})


def _lines_saying(piece: bytes, starts: NDArray[np.intp], row: Sequence[str], delimiter: str) -> list[int]:
    from .layout import fields

    needle = max(row, key=len).encode()
    found: list[int] = []
    at = piece.find(needle)
    for _ in range(_MOST_LOOKED_AT):
        if at < 0:
            break
        line = int(np.searchsorted(starts, at, side="right")) - 1
        text = piece[starts[line] : starts[line + 1]].decode("utf-8", "replace").rstrip("\n")
        if tuple(cell.strip() for cell in fields(text, delimiter)) == tuple(row):
            found.append(line)
        at = piece.find(needle, int(starts[line + 1]))
    return found


def refuse_another_header(table: LogTable, columns: Sequence[pl.Series]) -> None:
    """Refuse a log in which a row holds words wherever all others hold numbers: names of other columns.

    Parameters
    ----------
    columns
        The cells of the file (n,) that the rows of the table came from.

    Raises
    ------
    LogUnreadable
        When there is such a row; what lies below it belongs under its names.
    """
    suspects: NDArray[np.bool_] | None = None
    for one in table.columns:
        if not one.holds_numbers or not np.isfinite(one.numbers).any():
            continue
        if one.unreadable == 0:
            return
        unread = np.isnan(one.numbers)
        suspects = unread if suspects is None else suspects & unread
    for row in np.flatnonzero(suspects)[:_MOST_LOOKED_AT] if suspects is not None else ():
        cells = [str(one[int(row)] or "") for one in columns]
        named = [cell for cell in cells if not is_missing(cell)]
        if len(named) >= max(2, 0.5 * len(cells)) and not any(map(is_value, named)):
            raise LogUnreadable(
                f"Line {int(table.lines[row])} holds words where the other lines hold numbers "
                f"({', '.join(named[:4])}): a second header, whose columns may be others. Nothing was "
                "imported; save what stands above and below it as two files."
            )
