"""What happened in a session and when: each kind of happening is sought knowing those before it."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from itertools import accumulate
from typing import TYPE_CHECKING

from .compressor import CompressorChange, compressor_changes
from .cycling import Cycling, clutch_cycling
from .engine import EngineStep, engine_steps
from .fan import fan_steps
from .fan_with_engine import fan_steps_at_engine_steps
from .valve_hunting import ValveHunting, valve_hunting

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from knowngood_sessions.core.channels.derive import Derived

    from .fan_step import FanStep
    from .grid import Grid


@dataclass(frozen=True, slots=True)
class Happenings:
    """Everything that disturbed a stretch of a session, by kind and in order of time."""

    engine: tuple[EngineStep, ...] = ()
    compressor: tuple[CompressorChange, ...] = ()
    fan: tuple[FanStep, ...] = ()
    cycling: tuple[Cycling, ...] = ()
    hunting: tuple[ValveHunting, ...] = ()

    @property
    def moments_s(self) -> tuple[float, ...]:
        """All moments in order: a steady window reaches over none of them."""
        return tuple(sorted(one.at_s for group in (self.engine, self.compressor, self.fan) for one in group))


def happenings(grid: Grid, derived: Derived, logged: tuple[FanStep, ...] | None = None) -> Happenings:
    """Search a grid for engine-speed steps, compressor changes, clutch cycling, fan steps and hunting.

    ``logged`` are the fan steps of the whole recording that a channel logs, None where none does: then they
    are read from the high side.
    """
    engine = _engine(grid, derived)
    compressor = compressor_changes(grid, engine)
    changed_s = [change.at_s for change in compressor]
    cycling = clutch_cycling(compressor)
    cycled_s = [(one.from_s, one.until_s) for one in cycling]
    if logged is None:
        about_s = [(one.from_s - 0.65 * one.period_s, one.until_s + 0.65 * one.period_s) for one in cycling]
        fan = fan_steps(grid, engine, changed_s, about_s)
        hidden = fan_steps_at_engine_steps(grid, engine, [*(step.at_s for step in fan), *changed_s])
        steps = tuple(sorted((*fan, *hidden), key=lambda step: step.at_s))
    else:
        steps = tuple(step for step in logged if grid.time_s[0] <= step.at_s <= grid.time_s[-1])
    moments = sorted(one.at_s for group in (engine, compressor, steps) for one in group)
    hunting = valve_hunting(grid, moments, cycled_s)
    return Happenings(engine, compressor, steps, cycling, hunting)


def _engine(grid: Grid, derived: Derived) -> tuple[EngineStep, ...]:
    if derived.engine_rpm is None:
        return ()
    return engine_steps(grid, derived.time_s, derived.engine_rpm, derived.low_pa, derived.high_pa)


class FanHistory:
    """The fan's stage over a session, counted on from the stage at the start; doubted steps do not count.

    Attributes
    ----------
    steps
        Fan steps in order of time.
    texts
        What the fan did at each step, in words; without a stage number when the start is not known.

    >>> from knowngood_sessions.core.finding.fan_step import FanStep
    >>> history = FanHistory((FanStep(60.0, up=True), FanStep(200.0, up=False)), 1)
    >>> history.texts, history.stage_at(100.0), history.net_until(100.0)
    (('fan switched to stage 2', 'fan switched to stage 1'), 2, 1)
    >>> unknown = FanHistory((FanStep(60.0, up=True),), None)
    >>> unknown.texts, unknown.stage_at(100.0)
    (('fan switched to a higher stage',), None)
    """

    def __init__(self, steps: Sequence[FanStep], start: int | None) -> None:
        self.steps = tuple(steps)
        self._moments_s = [step.at_s for step in self.steps]
        self._net = [0, *accumulate(_counted(step) for step in self.steps)]
        self._stages = None if start is None else [start]
        if self._stages is not None:
            for step in self.steps:
                self._stages.append(max(0, self._stages[-1] + _counted(step)))
        self.texts = tuple(self._text(i) for i in range(len(self.steps)))

    def net_until(self, at_s: float) -> int:
        """How many stages the fan has gone up, net, by a moment."""
        return self._net[bisect_right(self._moments_s, at_s)]

    def stage_at(self, at_s: float) -> int | None:
        """The fan stage at a moment; None when the stage at the start is not known."""
        return None if self._stages is None else self._stages[bisect_right(self._moments_s, at_s)]

    def told_between(self, from_s: float, to_s: float) -> Iterator[tuple[float, str]]:
        """Moment and words of each step between two moments."""
        for i in self._between(from_s, to_s):
            yield self._moments_s[i], f"perhaps {self.texts[i]}" if self.steps[i].doubted else self.texts[i]

    def doubted_between(self, from_s: float, to_s: float) -> bool:
        """Whether one of the steps between two moments may have been something else."""
        return any(self.steps[i].doubted for i in self._between(from_s, to_s))

    def _between(self, from_s: float, to_s: float) -> range:
        return range(bisect_left(self._moments_s, from_s), bisect_right(self._moments_s, to_s))

    def _text(self, index: int) -> str:
        step = self.steps[index]
        if self._stages is None:
            return f"fan switched to a {'higher' if step.up else 'lower'} stage"
        stage = max(0, self._stages[index] + (1 if step.up else -1))
        return f"fan switched to stage {stage}" if stage else "fan switched off"


def _counted(step: FanStep) -> int:
    """By how many stages a step surely changes the fan's."""
    return 0 if step.doubted else 1 if step.up else -1
