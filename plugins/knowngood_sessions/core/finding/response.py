"""How both sides answer a change of engine speed, between two steady windows of one session.

Absolute pressures go with powers of the engine speed, so changes are judged by their logarithms a doubling
of it (an octave): within 3 % on the low side and 5 % on the high side a side stays level (common practice,
no source), and speeds less than an octave apart count as one.

Both readings come from the same gauges, so what a gauge shows too much it shows too much twice, and the
difference is free of it. The model: of the standard uncertainty that the accuracy class stands for, the
share `REPEATABILITY_SHARE` (0.25) comes anew with each reading (hysteresis, friction, reading), the rest
is the instrument's own and cancels. Own assumption, to be replaced by the gauge's certificate.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from functools import partial
from math import hypot, log, log2
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.records import Estimate, Quantity, Response, Verdict
from knowngood_refdata.uncertainty import combine, pressure_standard_uncertainty_pa

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from knowngood_refdata.records import Instruments, PressureInstrument, SteadyWindow

    from .events import FanHistory

REPEATABILITY_SHARE = 0.25
LOW_COUNTS_FROM = 0.03
HIGH_COUNTS_FROM = 0.05
"""Least change of the logarithm of the absolute pressure an octave that counts as a rise or a fall."""

MOVED_BEFORE = "the readings had moved before the engine did: the change is not the engine speed's alone"

PERHAPS_ANOTHER_STAGE = "perhaps another fan stage"
"""Said of a response across a fan step that a note may explain otherwise."""

EXPANSION = 1.96
GOES_ON_S = 30.0
OTHER_SPEED = 1.25
SAME_SPEED = 1.12
TRIED = 4
"""So many pairs, the nearest in time, are asked whether they can tell: further off conditions may differ."""


@dataclass(frozen=True, slots=True, eq=False)
class Settled:
    """A steady window with the standard errors of its two pressures' means, instrument left out."""

    window: SteadyWindow
    scatter_pa: Mapping[Quantity, float]

    def unsure_pa(self, quantity: Quantity) -> float:
        """How well the settled pressure is known from its samples: scatter, and what a drift leaves open.

        A pressure that still goes on may do so for as long as it was watched, up to half a minute.
        """
        scatter = self.scatter_pa.get(quantity, 0.0)
        behaviour = self.window.behaviour.get(quantity)
        if behaviour is None:
            return scatter
        drift = behaviour.drift_per_s
        sure = max(abs(drift.value) - EXPANSION * drift.standard_uncertainty, 0.0)
        goes_on_s = min(self.window.end_s - self.window.start_s, GOES_ON_S)
        return hypot(scatter, sure * goes_on_s)


def responses(
    settled: Sequence[Settled],
    fan: FanHistory,
    instruments: Instruments,
    left_before: Callable[[SteadyWindow, SteadyWindow], bool] = lambda _one, _other: False,
) -> tuple[Response, ...]:
    """Responses from the lowest engine speed to each higher one.

    For each speed the pair of windows at equal fan stage is taken, idle first, nearest in time; where that
    pair cannot tell of a side and a neighbouring one can of both, the one that can. When the idle window
    that the speed was reached from ran at another fan stage, that pair is reported as well, with a remark.
    Only windows that hold both pressures and an engine speed take part.

    Parameters
    ----------
    left_before
        Tells of two windows whether the readings had moved before the engine did: then one cannot tell.
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
        found += _answers(idle, level, fan, partial(_response, fan, instruments, left_before))
    return tuple(found)


def _answers(
    idle: Sequence[Settled],
    level: Sequence[Settled],
    fan: FanHistory,
    response: Callable[[Settled, Settled], Response],
) -> list[Response]:
    """The response at equal fan stage, if any, and the one that follows in time if its stages differ."""
    by_stage: dict[int, list[Settled]] = {}
    for one in idle:
        by_stage.setdefault(_net_stage(one, fan), []).append(one)
    alike = [pair for end in level for pair in _neighbours(by_stage.get(_net_stage(end, fan), []), end)]
    all_pairs = [pair for end in level for pair in _neighbours(idle, end)]
    reached = min(all_pairs, key=_apart)
    found = []
    if alike:
        tried = [response(*pair) for pair in sorted(alike, key=_apart)[:TRIED]]
        found.append(next((one for one in tried if Verdict.CANNOT_TELL not in {one.low, one.high}), tried[0]))
    if not alike or _net_stage(reached[0], fan) != _net_stage(reached[1], fan):
        found.append(response(*reached))
    return found


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
    change = end.window.values[quantity].value - start.window.values[quantity].value
    scatter = (one.unsure_pa(quantity) for one in (start, end))
    return Estimate(change, float(combine(anew, anew, *scatter)))


def octaves_between(start: Settled, end: Settled) -> float:
    """How many doublings of the engine speed lie between two windows."""
    return log2(_rpm(end) / _rpm(start))


def log_change_of(
    quantity: Quantity, start: Settled, end: Settled, instrument: PressureInstrument
) -> Estimate:
    """Change of the logarithm of an absolute pressure from one window to another by the same gauge.

    What comes anew with each reading counts by its part of that reading. What the gauge shows too much in
    both leaves the difference alone, but shifts the logarithm of a low pressure more than that of a high one.
    """
    own = pressure_standard_uncertainty_pa(instrument)
    before, after = (max(one.window.values[quantity].value, 1.0) for one in (start, end))
    anew = [
        hypot(REPEATABILITY_SHARE * own, one.unsure_pa(quantity)) / level
        for one, level in ((start, before), (end, after))
    ]
    return Estimate(log(after / before), hypot(*anew, own * (1.0 / after - 1.0 / before)))


def _response(
    fan: FanHistory,
    instruments: Instruments,
    left_before: Callable[[SteadyWindow, SteadyWindow], bool],
    start: Settled,
    end: Settled,
) -> Response:
    moved = left_before(start.window, end.window)
    octaves = octaves_between(start, end)
    low_log = log_change_of(Quantity.LOW_SIDE, start, end, instruments.low)
    high_log = log_change_of(Quantity.HIGH_SIDE, start, end, instruments.high)
    return Response(
        from_rpm=_rpm(start),
        to_rpm=_rpm(end),
        low_pa=change_of(Quantity.LOW_SIDE, start, end, instruments.low),
        high_pa=change_of(Quantity.HIGH_SIDE, start, end, instruments.high),
        low=Verdict.CANNOT_TELL if moved else _side(low_log, LOW_COUNTS_FROM, octaves),
        high=Verdict.CANNOT_TELL if moved else _side(high_log, HIGH_COUNTS_FROM, octaves),
        same_fan_stage=_net_stage(start, fan) == _net_stage(end, fan),
        remark="; ".join(told for told in (_remark(start, end, fan), MOVED_BEFORE if moved else "") if told),
        low_per_octave=_an_octave(low_log, octaves),
        high_per_octave=_an_octave(high_log, octaves),
        from_at_s=start.window.start_s,
        to_at_s=end.window.start_s,
    )


def _side(change: Estimate, counts_from: float, octaves: float) -> Verdict:
    return verdict(change.value, change.standard_uncertainty, counts_from * max(1.0, octaves))


def _an_octave(change: Estimate, octaves: float) -> Estimate:
    return Estimate(change.value / octaves, change.standard_uncertainty / octaves)


def _remark(start: Settled, end: Settled, fan: FanHistory) -> str:
    first, last = sorted((start.window, end.window), key=lambda window: window.start_s)
    told = ", ".join(f"{text} at {clock(at_s)}" for at_s, text in fan.told_between(first.end_s, last.start_s))
    if not told:
        return ""
    if _net_stage(start, fan) == _net_stage(end, fan) and fan.doubted_between(first.end_s, last.start_s):
        return f"{told}: {PERHAPS_ANOTHER_STAGE}"
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
