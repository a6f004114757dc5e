"""How both sides answer a change of engine speed, between two steady windows of one session.

Both readings come from the same gauges, so what a gauge shows too much it shows too much twice, and the
difference is free of it. The model: of the standard uncertainty that the accuracy class stands for, the
share `REPEATABILITY_SHARE` (0.25) comes anew with each reading (hysteresis, friction, reading), the rest
is the instrument's own and cancels. Own assumption, to be replaced by the gauge's certificate.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.records import Estimate, Quantity, Response, Verdict
from knowngood_refdata.uncertainty import combine, pressure_standard_uncertainty_pa

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from knowngood_refdata.records import Instruments, PressureInstrument, SteadyWindow

    from .events import FanHistory

REPEATABILITY_SHARE = 0.25
LOW_COUNTS_FROM = 0.03
HIGH_COUNTS_FROM = 0.05
"""Least change, as part of the absolute pressure before it, that counts as a rise or a fall."""

EXPANSION = 1.96
OTHER_SPEED = 1.25
SAME_SPEED = 1.12


@dataclass(frozen=True, slots=True, eq=False)
class Settled:
    """A steady window with the standard errors of its two pressures' means, instrument left out."""

    window: SteadyWindow
    scatter_pa: Mapping[Quantity, float]


def responses(settled: Sequence[Settled], fan: FanHistory, instruments: Instruments) -> tuple[Response, ...]:
    """Responses from the lowest engine speed to each higher one.

    For each speed the pair of windows at equal fan stage is taken, idle first, nearest in time. When the
    idle window that the speed was reached from ran at another fan stage, that pair is reported as well,
    with a remark. Only windows that hold both pressures and an engine speed take part.
    """
    able = [
        one
        for one in settled
        if one.window.engine_rpm and {Quantity.LOW_SIDE, Quantity.HIGH_SIDE} <= one.window.values.keys()
    ]
    if not able:
        return ()
    slowest = min(_rpm(one) for one in able)
    idle = [one for one in able if _rpm(one) <= SAME_SPEED * slowest]
    higher = sorted((one for one in able if _rpm(one) > OTHER_SPEED * slowest), key=_rpm)
    found = []
    while higher:
        level = [one for one in higher if _rpm(one) <= SAME_SPEED * _rpm(higher[0])]
        higher = higher[len(level) :]
        found += [_response(*pair, fan, instruments) for pair in _pairs(idle, level, fan)]
    return tuple(found)


def _pairs(
    idle: Sequence[Settled], level: Sequence[Settled], fan: FanHistory
) -> tuple[tuple[Settled, Settled], ...]:
    """The pair at equal fan stage, if any, and the one that follows in time if its stages differ."""
    by_stage: dict[int, list[Settled]] = {}
    for one in idle:
        by_stage.setdefault(_net_stage(one, fan), []).append(one)
    alike = [pair for end in level for pair in _neighbours(by_stage.get(_net_stage(end, fan), []), end)]
    all_pairs = [pair for end in level for pair in _neighbours(idle, end)]
    reached = min(all_pairs, key=_apart)
    if not alike:
        return (reached,)
    best = min(alike, key=_apart)
    return (best,) if _net_stage(reached[0], fan) == _net_stage(reached[1], fan) else (best, reached)


def _neighbours(idle: Sequence[Settled], end: Settled) -> list[tuple[Settled, Settled]]:
    """A window with the idle windows next before and next after it; both in order of time."""
    at = bisect_left(idle, end.window.start_s, key=lambda one: one.window.start_s)
    return [(start, end) for start in idle[max(0, at - 1) : at + 1]]


def verdict(change: float, uncertainty: float, counts_from: float) -> Verdict:
    """Say whether a side rises, stays level or falls, or that one cannot tell.

    A direction needs a change that counts and that is significant at 95 %; *stays level* needs a change
    that does not count, seen with instruments that would have shown one. Within half a standard
    uncertainty of the least change that counts one cannot tell.

    >>> [str(verdict(change, 1.0, 4.0)) for change in (9.0, -9.0, 1.0, 4.2)]
    ['rises', 'falls', 'stays level', 'cannot tell']
    """
    size = abs(change)
    if not np.isfinite(change + uncertainty) or abs(size - counts_from) < 0.5 * uncertainty:
        return Verdict.CANNOT_TELL
    if size > counts_from:
        if size < EXPANSION * uncertainty:
            return Verdict.CANNOT_TELL
        return Verdict.RISES if change > 0.0 else Verdict.FALLS
    return Verdict.LEVEL if EXPANSION * uncertainty <= counts_from else Verdict.CANNOT_TELL


def change_of(quantity: Quantity, start: Settled, end: Settled, instrument: PressureInstrument) -> Estimate:
    """Change of a pressure from one window to another by the same gauge, in pascals."""
    anew = REPEATABILITY_SHARE * pressure_standard_uncertainty_pa(instrument)
    scatter = (one.scatter_pa.get(quantity, 0.0) for one in (start, end))
    change = end.window.values[quantity].value - start.window.values[quantity].value
    return Estimate(change, float(combine(anew, anew, *scatter)))


def _response(start: Settled, end: Settled, fan: FanHistory, instruments: Instruments) -> Response:
    low = change_of(Quantity.LOW_SIDE, start, end, instruments.low)
    high = change_of(Quantity.HIGH_SIDE, start, end, instruments.high)
    low_level = start.window.values[Quantity.LOW_SIDE].value
    high_level = start.window.values[Quantity.HIGH_SIDE].value
    return Response(
        from_rpm=_rpm(start),
        to_rpm=_rpm(end),
        low_pa=low,
        high_pa=high,
        low=verdict(low.value, low.standard_uncertainty, LOW_COUNTS_FROM * low_level),
        high=verdict(high.value, high.standard_uncertainty, HIGH_COUNTS_FROM * high_level),
        same_fan_stage=_net_stage(start, fan) == _net_stage(end, fan),
        remark=_remark(start, end, fan),
    )


def _remark(start: Settled, end: Settled, fan: FanHistory) -> str:
    first, last = sorted((start.window, end.window), key=lambda window: window.start_s)
    told = ", ".join(f"{text} at {clock(at_s)}" for at_s, text in fan.told_between(first.end_s, last.start_s))
    if not told:
        return ""
    if _net_stage(start, fan) == _net_stage(end, fan):
        return f"{told}: the same stage in both windows"
    return f"{told}: the change is not the engine speed's alone"


def clock(seconds: float) -> str:
    """A moment of a session as minutes and seconds, with hours when there are any.

    >>> clock(271.4), clock(3_725.0)
    ('4:31', '1:02:05')
    """
    minutes, second = divmod(round(seconds), 60)
    hours, minute = divmod(minutes, 60)
    return f"{hours}:{minute:02d}:{second:02d}" if hours else f"{minute}:{second:02d}"


def _net_stage(one: Settled, fan: FanHistory) -> int:
    return fan.net_until(one.window.start_s)


def _apart(pair: tuple[Settled, Settled]) -> tuple[bool, float]:
    """Sorts pairs of windows: idle before speed first, then nearest in time."""
    apart_s = pair[1].window.start_s - pair[0].window.start_s
    return apart_s < 0.0, abs(apart_s)


def _rpm(one: Settled) -> float:
    return one.window.engine_rpm or 0.0
