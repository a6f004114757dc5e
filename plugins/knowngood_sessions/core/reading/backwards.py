"""Time that runs backwards: mended where it is clear what happened, told, and refused otherwise.

Clear are: a counter or a clock that began anew (at 65,536 counts, at noon on a clock of twelve hours), one
stamp with a lost digit between two good ones, rows that were written out of order, and a clock that was
set back (to winter time, or by up to two minutes to agree with another clock).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.logs import LogUnreadable

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Times = NDArray[np.float64]
    Lines = NDArray[np.int64]

_FEW = 3
_FEW_SHARE = 0.005
_FARTHEST_ROW = 50
_HOUR_S = 3600.0
_SMALL_SET_BACK_S = 120.0
_AFTER = 10


@dataclass(frozen=True, slots=True)
class Clock:
    """What a time was counted by: after which amounts it begins anew, and whether someone can set it."""

    wraps_s: tuple[float, ...] = ()
    can_be_set: bool = False


def mended(
    time_s: Times, lines: Lines, clock: Clock
) -> tuple[Times, NDArray[np.intp] | None, tuple[str, ...]]:
    """Times (n,) that never fall, the row of each where rows changed places, and what was done in words.

    Raises
    ------
    LogUnreadable
        When time runs backwards and it is not clear why.
    """
    steps = np.diff(time_s)
    if not (steps < 0.0).any():
        return time_s, None, ()
    forward = steps[steps > 0.0]
    usual = float(np.median(forward)) if forward.size else 0.0
    times, told = _wrapped(time_s, lines, usual, clock.wraps_s)
    if _too_many(times):
        raise _refusal(time_s, lines)
    times, glitches = _lone_stamps(times, lines, usual)
    times, rows, swapped = _in_order(times, lines, usual)
    if clock.can_be_set:
        times, set_back = _set_back(times, lines, usual)
    else:
        set_back = ()
    if (np.diff(times) < 0.0).any():
        raise _refusal(time_s, lines)
    return times, rows, (*told, *glitches, *swapped, *set_back)


def _falls(time_s: Times) -> NDArray[np.intp]:
    """The place behind each fall of the time."""
    return np.flatnonzero(np.diff(time_s) < 0.0) + 1


def _too_many(time_s: Times) -> bool:
    return _falls(time_s).size > max(_FEW, _FEW_SHARE * time_s.size)


def _wrapped(
    time_s: Times, lines: Lines, usual: float, wraps_s: tuple[float, ...]
) -> tuple[Times, tuple[str, ...]]:
    added = np.zeros(time_s.size)
    where = []
    for at in _falls(time_s):
        step = float(time_s[at] - time_s[at - 1])
        for wrap_s in wraps_s:
            if 0.0 < step + wrap_s <= 3.0 * usual:
                added[at] += wrap_s
                where.append(int(lines[at]))
                break
    if not where:
        return time_s, ()
    return time_s + np.cumsum(added), (
        f"The clock of the log began anew at {_lines(where)}; the time was counted on.",
    )


def _lone_stamps(time_s: Times, lines: Lines, usual: float) -> tuple[Times, tuple[str, ...]]:
    """A stamp that lies outside its neighbours, which are two usual steps apart, lies between them."""
    times, where = time_s.copy(), []
    for at in _falls(time_s):
        for place in (at - 1, at):
            if not 0 < place < times.size - 1:
                continue
            before, after = times[place - 1], times[place + 1]
            outside = times[place] < before or times[place] > after
            if outside and 1.5 * usual <= after - before <= 2.5 * usual:
                times[place] = 0.5 * (before + after)
                where.append(int(lines[place]))
                break
    if not where:
        return times, ()
    return times, (
        f"The time stamp of {_lines(where)} cannot be; the row was placed between its neighbours.",
    )


def _in_order(
    time_s: Times, lines: Lines, usual: float
) -> tuple[Times, NDArray[np.intp] | None, tuple[str, ...]]:
    """Rows out of order go back to their place where that leaves every step a usual one."""
    falls = _falls(time_s)
    if falls.size == 0:
        return time_s, None, ()
    order = np.argsort(time_s, kind="stable")
    moved = order != np.arange(order.size)
    times = time_s[order]
    steps = np.diff(times)
    near = moved[1:] | moved[:-1]
    far = int(np.abs(order - np.arange(order.size)).max())
    if far > _FARTHEST_ROW or (steps[near] < 0.3 * usual).any() or (steps[near] > 3.0 * usual).any():
        return time_s, None, ()
    named = [int(lines[at]) for at in falls]
    return times, order, (f"Rows stand out of order at {_lines(named)}; they were put where they belong.",)


def _set_back(time_s: Times, lines: Lines, usual: float) -> tuple[Times, tuple[str, ...]]:
    added, told = np.zeros(time_s.size), []
    for at in _falls(time_s):
        back_s = float(time_s[at - 1] - time_s[at]) + usual
        behind = np.diff(time_s[at : at + _AFTER])
        goes_on = behind.size >= 2 and bool(((behind >= 0.0) & (behind <= 3.0 * usual)).all())
        an_hour = abs(back_s - _HOUR_S) <= max(2.0 * usual, 2.0)
        if goes_on and (an_hour or back_s <= _SMALL_SET_BACK_S):
            added[at] += back_s
            told.append(
                f"The clock was set back by {back_s:,.4g} s at line {int(lines[at])}; the time was counted "
                "on."
            )
    return time_s + np.cumsum(added), tuple(told)


def _refusal(time_s: Times, lines: Lines) -> LogUnreadable:
    falls = _falls(time_s)
    first = int(falls[0])
    times = "once" if falls.size == 1 else f"{falls.size:,} times"
    return LogUnreadable(
        f"Time runs backwards {times}, first at line {int(lines[first])}: {time_s[first]:g} s after "
        f"{time_s[first - 1]:g} s. Nothing was imported; the file may hold two recordings, which must be "
        "saved as two files, or another column may be the time."
    )


def _lines(where: list[int]) -> str:
    shown = ", ".join(f"{line}" for line in sorted(where)[:5])
    more = f" and {len(where) - 5:,} more" if len(where) > 5 else ""
    return f"{'line' if len(where) == 1 else 'lines'} {shown}{more}"
