"""A date in one column and the clock time in another, read as one column."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from knowngood_refdata.logs import ISO_DATE, NAMED_DATE, OTHER_DATE

from .cells import is_moment

if TYPE_CHECKING:
    from collections.abc import Sequence

    import polars as pl

    Label = tuple[str, str]

_DATE = rf"(?:{ISO_DATE}|{OTHER_DATE}|{NAMED_DATE})"
_DATE_ALONE = re.compile(rf"\s*{_DATE}\s*(?:[T ]0?0:00(?::00(?:\.0+)?)?)?\s*")
_LOOKED_AT = 200


def joined(
    labels: Sequence[Label], columns: Sequence[pl.Series]
) -> tuple[tuple[Label, ...], tuple[pl.Series, ...]]:
    """Labels and columns with the only date and the only clock column made one, else as they were."""
    kinds = [_kind(cells) for cells in columns]
    if kinds.count("date") != 1 or kinds.count("clock") != 1 or "both" in kinds:
        return tuple(labels), tuple(columns)
    import polars as pl

    date, clock = kinds.index("date"), kinds.index("clock")
    days = columns[date].str.strip_chars().str.extract(r"^(.*?)(?:[T ]0?0:00(?::00(?:\.0+)?)?)?$")
    both = pl.select(pl.concat_str(days, pl.lit(" "), columns[clock].str.strip_chars())).to_series()
    name = " ".join(filter(None, (labels[date][0], labels[clock][0]))) or "Date Time"
    kept = [place for place in range(len(columns)) if place != clock]
    return (
        tuple((name, "") if place == date else labels[place] for place in kept),
        tuple(both if place == date else columns[place] for place in kept),
    )


def _kind(cells: pl.Series) -> str:
    """``date``, ``clock``, ``both`` in one cell, or something else."""
    seen = cells.drop_nulls().head(_LOOKED_AT).to_list()
    if not seen or not all(is_moment(cell) for cell in seen):
        return ""
    dates = [_DATE_ALONE.fullmatch(cell) is not None for cell in seen]
    if all(dates):
        return "date"
    starts = [re.match(rf"\s*(?:{_DATE}|\d{{8}})", cell) for cell in seen]
    return "clock" if not any(starts) else "both"
