"""At which high side the fan goes up a stage, and at which it lets go: read where a saw-tooth turns.

A fan that the high side calls switches again and again at the same two pressures, the high side rising to
the one and falling to the other (common practice, no source). One that a person or another reading switches
does so at any pressure, or at one that stands still: of such a fan no threshold is told.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.records import Estimate, Evidence, FanThreshold, Role
from knowngood_refdata.uncertainty import pressure_standard_uncertainty_pa

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from knowngood_refdata.records import Instruments

    from .events import FanHistory
    from .fan_step import FanStep
    from .grid import Grid

TURNS_WITHIN_S = (-5.0, 3.0)
APPROACH_S = 12.0
LEAST_APPROACH = 0.006
"""Least move of the logarithm of the high side, over the seconds before, by which it comes to a threshold."""

ANSWERS_LATE_S = 1.5
"""What a relay and a fan's run-up take: the high side goes on for so long after the threshold."""

APART = 0.06
"""Logarithm by which two thresholds for the same direction lie apart at least."""

MOST_SCATTER = 0.03
LEAST_SEEN = 2
MOST_STRAYS = 0.34


@dataclass(frozen=True, slots=True)
class _Turn:
    """Where the high side turned with a fan step, and the stage above the threshold, if known."""

    at_s: float
    up: bool
    high_pa: float
    late_pa: float
    stage: int | None


@dataclass(frozen=True, slots=True)
class _Group:
    """Turns at one pressure."""

    high_pa: float
    scatter_pa: float
    late_pa: float
    moments_s: tuple[float, ...]
    stage: int | None

    @property
    def count(self) -> int:
        return len(self.moments_s)

    def estimate(self, instrument_pa: float) -> Estimate:
        error_pa = self.scatter_pa / np.sqrt(self.count)
        return Estimate(self.high_pa, float(np.sqrt(error_pa**2 + self.late_pa**2 + instrument_pa**2)))


def fan_thresholds(
    grids: Sequence[Grid], fan: FanHistory, instruments: Instruments
) -> tuple[FanThreshold, ...]:
    """The thresholds that several fan steps tell, from the lowest pressure up; none where they do not agree.

    A direction counts when it was seen `LEAST_SEEN` times at one pressure, and the other one beside it even
    when it was seen once. Steps that fell together with an engine-speed step are left out, and doubted ones.
    """
    turns, strays = _turns(grids, fan)
    if strays > MOST_STRAYS * (len(turns) + strays):
        return ()
    ups, downs = (_groups([one for one in turns if one.up is up]) for up in (True, False))
    instrument_pa = pressure_standard_uncertainty_pa(instruments.high)
    return tuple(
        FanThreshold(
            stage=next((one.stage for one in (up, down) if one is not None and one.stage is not None), None),
            up_pa=None if up is None else up.estimate(instrument_pa),
            down_pa=None if down is None else down.estimate(instrument_pa),
            ups=0 if up is None else up.count,
            downs=0 if down is None else down.count,
            evidence=_evidence([one for one in (up, down) if one is not None]),
        )
        for up, down in _paired(ups, downs)
        if max(0 if one is None else one.count for one in (up, down)) >= LEAST_SEEN
    )


def _evidence(groups: Sequence[_Group]) -> Evidence:
    """From where the high side came to its first turn to where it left the last."""
    moments_s = [at_s for one in groups for at_s in one.moments_s]
    before_s, after_s = TURNS_WITHIN_S
    return Evidence(min(moments_s) + before_s - APPROACH_S, max(moments_s) + after_s, (Role.HIGH_SIDE,))


def _turns(grids: Sequence[Grid], fan: FanHistory) -> tuple[list[_Turn], int]:
    """Where the high side came to a threshold and turned, and how many steps came out of nothing."""
    turns, strays = [], 0
    spans = [(one, float(one.time_s[0]), float(one.time_s[-1])) for one in grids]
    for step in fan.steps:
        grid = next((one for one, from_s, to_s in spans if from_s <= step.at_s <= to_s), None)
        if grid is None or grid.high_pa is None or step.with_engine or step.doubted:
            continue
        turn = _turn(grid, grid.high_pa, step, _upper_stage(fan, step))
        if turn is None:
            strays += 1
        else:
            turns.append(turn)
    return turns, strays


def _upper_stage(fan: FanHistory, step: FanStep) -> int | None:
    """The stage to which a step up leads, or from which a step down comes."""
    after = fan.stage_at(step.at_s)
    return after if after is None or step.up else after + 1


def _turn(grid: Grid, high_pa: NDArray[np.float64], step: FanStep, stage: int | None) -> _Turn | None:
    way = 1.0 if step.up else -1.0
    at, reach = grid.index(step.at_s), grid.steps(APPROACH_S)
    first, last = (at + round(seconds / grid.step_s) for seconds in TURNS_WITHIN_S)
    if first - reach < 1 or last + 1 >= high_pa.size:
        return None
    held = high_pa[first - reach - 1 : last + 2]
    smooth = (held[:-2] + held[1:-1] + held[2:]) / 3.0
    top = reach + int(np.argmax(way * smooth[reach : last - first + reach + 1]))
    came = way * float(np.log(max(smooth[top], 1.0) / max(smooth[top - reach], 1.0)))
    if came < LEAST_APPROACH:
        return None
    slope_pa = abs(float(smooth[top] - smooth[top - reach])) / (reach * grid.step_s)
    return _Turn(
        step.at_s, step.up, float(smooth[top]), slope_pa * (ANSWERS_LATE_S + 0.5 * grid.step_s), stage
    )


def _groups(turns: Sequence[_Turn]) -> list[_Group]:
    """Turns at one pressure each, from the lowest up; those that scatter too much are left out."""
    if not turns:
        return []
    ordered = sorted(turns, key=lambda one: one.high_pa)
    high = np.array([one.high_pa for one in ordered])
    label = np.concatenate([np.zeros(1), np.cumsum(np.diff(np.log(high)) > APART)]).astype(np.intp)
    found = []
    for _, held in groupby(range(len(ordered)), key=lambda i: int(label[i])):
        part = [ordered[i] for i in held]
        levels = np.array([one.high_pa for one in part])
        scatter = float(levels.std(ddof=1)) if levels.size > 1 else MOST_SCATTER * float(levels[0])
        if scatter > MOST_SCATTER * float(levels.mean()):
            continue
        late_pa = float(np.mean([one.late_pa for one in part]))
        # A step that was missed shifts the count of all that follow: the earliest is the surest.
        stage = min(part, key=lambda one: one.at_s).stage
        moments_s = tuple(one.at_s for one in part)
        found.append(_Group(float(levels.mean()), scatter, late_pa, moments_s, stage))
    return found


def _paired(ups: Sequence[_Group], downs: Sequence[_Group]) -> Iterator[tuple[_Group | None, _Group | None]]:
    """Each pressure up with the highest one down that lies below it and belongs to none before."""
    left = list(downs)
    for i, up in enumerate(ups):
        below_pa = ups[i - 1].high_pa if i and not left else 0.0
        under = [one for one in left if below_pa < one.high_pa < up.high_pa]
        # With as many left as there are pressures up, the lowest belongs to the lowest.
        down = (under[0] if len(left) >= len(ups) - i else under[-1]) if under else None
        if down is not None:
            left.remove(down)
        yield up, down
    for down in left:
        yield None, down
