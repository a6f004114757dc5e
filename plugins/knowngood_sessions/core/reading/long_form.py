"""A log in long form, one row a channel and time, turned into one column a channel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.logs import LogUnreadable

from .cells import is_moment, is_number
from .clock import likely_units, moments
from .columns import column_of
from .name_words import words_of
from .split import MOST_CELLS
from .units import is_unit, name_and_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

    import polars as pl
    from numpy.typing import NDArray

_CHANNEL_WORDS = frozenset(
    {"channel", "chan", "ch", "signal", "sensor", "parameter", "param", "variable", "measurement", "tag"}
    | {"name", "item", "quantity", "kanal", "messstelle"}
)
_VALUE_WORDS = frozenset({"value", "val", "reading", "result", "wert", "messwert", "data"})
_UNIT_WORDS = frozenset({"unit", "units", "uom", "einheit"})
_TIME_WORDS = frozenset({"time", "timestamp", "elapsed", "datetime", "seconds", "zeit"})
_MOST_CHANNELS = 64
_LOOKED_AT = 2_000


@dataclass(frozen=True, slots=True, eq=False)
class Wide:
    """Names, units and cells of the columns, the first one the time, and the row each line came from."""

    labels: tuple[tuple[str, str], ...]
    columns: tuple[pl.Series, ...]
    rows: NDArray[np.intp]  # (n,)
    told: str


@dataclass(frozen=True, slots=True)
class _Places:
    time: int
    channel: int
    value: int
    unit: int | None


def widened(labels: Sequence[tuple[str, str]], cells: Sequence[pl.Series]) -> Wide | None:
    """The same log with a column a channel, None where it is not in long form.

    A log is taken to be in long form when its header says so: one column named for the channel, one for
    the value, one for the time.

    Raises
    ------
    LogUnreadable
        When one channel changes its unit, or there are more channels than a log has.
    """
    places = _places(labels, cells)
    if places is None:
        return None
    import polars as pl

    time, channel, value = (cells[place].str.strip_chars() for place in _three(places))
    frame = pl.DataFrame({"t": time, "c": channel, "v": value}).with_row_index("row")
    frame = frame.filter(pl.col("c").is_not_null() & pl.col("t").is_not_null())
    names = frame["c"].unique(maintain_order=True).to_list()
    if not 1 < len(names) <= _MOST_CHANNELS:
        if len(names) > _MOST_CHANNELS:
            raise LogUnreadable(
                f"The log names {len(names):,} channels in its rows; at most {_MOST_CHANNELS} can be read. "
                "Nothing was imported."
            )
        return None
    # Several samples of a channel under one coarse time stamp become rows of their own.
    frame = frame.with_columns(pl.int_range(pl.len()).over("t", "c").alias("nth"))
    first = frame.group_by("t", "nth", maintain_order=True).agg(pl.col("row").min())
    _refuse_too_many(first.height, len(names))
    index = ["t", "nth"]
    wide = frame.pivot(on="c", index=index, values="v", aggregate_function="first", maintain_order=True)
    units = _units(places, cells, channel, names)
    time_label = labels[places.time]
    channels = tuple(_label(name, units.get(name, "")) for name in names)
    return Wide(
        (time_label, *channels),
        (wide["t"].rename(""), *(wide[name] for name in names)),
        first["row"].to_numpy().astype(np.intp),
        f"The log has one row a channel and time; its {len(names)} channels became columns.",
    )


def _refuse_too_many(rows: int, channels: int) -> None:
    if rows * (channels + 1) > MOST_CELLS:
        raise LogUnreadable(
            f"The log has {rows:,} rows for {channels} channels, one a time; at most "
            f"{MOST_CELLS // (channels + 1):,} can be read. Nothing was imported; export all channels of a "
            "time in one row, fewer channels, or a shorter stretch."
        )


def in_time_order(wide: Wide, decimal: str) -> Wide:
    """The same with its rows in the order of their times, as a log written channel after channel needs it."""
    (name, unit), cells = wide.labels[0], wide.columns[0]
    time = column_of(name, unit, cells, decimal)
    times = moments(time, likely_units(time)[0]).time_s
    if not np.isfinite(times).all() or not (np.diff(times) < 0.0).any():
        return wide
    order = np.argsort(times, kind="stable")
    return Wide(wide.labels, tuple(one[order] for one in wide.columns), wide.rows[order], wide.told)


def _three(places: _Places) -> tuple[int, int, int]:
    return places.time, places.channel, places.value


def _places(labels: Sequence[tuple[str, str]], cells: Sequence[pl.Series]) -> _Places | None:
    names = [name for name, _ in labels]
    channel = _only(names, _CHANNEL_WORDS)
    value = _only(["" if place == channel else name for place, name in enumerate(names)], _VALUE_WORDS)
    time = _only(names, _TIME_WORDS)
    if time is None:
        times = [place for place, one in enumerate(cells) if any(map(is_moment, _head(one)[:5]))]
        time = times[0] if len(times) == 1 else None
    if channel is None or value is None or time is None or len({channel, value, time}) < 3:
        return None
    seen, values = _head(cells[channel]), _head(cells[value])
    repeats = len(set(seen)) <= max(1, len(seen) // 2)
    numbers = sum(map(is_number, values)) >= 0.5 * len(values)
    return _Places(time, channel, value, _only(names, _UNIT_WORDS)) if repeats and numbers else None


def _head(cells: pl.Series) -> list[str]:
    found: list[str] = cells.drop_nulls().head(_LOOKED_AT).to_list()
    return found


def _only(names: Sequence[str], words: frozenset[str]) -> int | None:
    """The place of the first name that is one of the words, or else of the first that holds one."""
    exact = [place for place, name in enumerate(names) if name.strip().casefold() in words]
    holding = [place for place, name in enumerate(names) if set(words_of(name)) & words]
    return next(iter((*exact, *holding)), None)


def _units(
    places: _Places, cells: Sequence[pl.Series], channel: pl.Series, names: Sequence[str]
) -> dict[str, str]:
    if places.unit is None:
        return {}
    import polars as pl

    pairs = pl.DataFrame({"c": channel, "u": cells[places.unit].str.strip_chars()}).drop_nulls()
    units: dict[str, str] = {}
    for name, unit in pairs.unique(maintain_order=True).iter_rows():
        if units.setdefault(name, unit) != unit:
            raise LogUnreadable(
                f"The channel '{name}' is written in {units[name]} and in {unit}. Nothing was imported; "
                "export it in one unit."
            )
    return {name: units[name] for name in names if is_unit(units.get(name, ""))}


def _label(name: str, unit: str) -> tuple[str, str]:
    if unit:
        return name, unit
    named = name_and_unit(name)
    return (f"channel {name}", "") if is_number(name) else named
