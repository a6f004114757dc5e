"""What really happened in a made-up session: channels without noise, and every disturbance."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.refrigerants import saturation

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from numpy.typing import NDArray

    from knowngood_refdata.records import CompressorKind, Role

STEP_S = 0.2
SETTLED_SHARE = 0.025
SETTLED_K = 1.0
ENDS_OVER_S = 20.0
SLOW_RPM_PER_S = 30.0
HARDLY, TURN = 4e-3, 2e-4
"""Parts of itself: a move in 10 s that leads nowhere, and a turn that is not the simulator's own ripple."""

STILL, GROWING = 1.5, 1.1


@dataclass(frozen=True)
class EngineStep:
    """The engine leaves one speed at ``at_s`` and holds the other from ``until_s`` on."""

    at_s: float
    until_s: float
    from_rpm: float
    to_rpm: float


@dataclass(frozen=True)
class FanChange:
    """The fan changes to ``stage``; ``up`` is more air."""

    at_s: float
    stage: int
    up: bool


@dataclass(frozen=True)
class CompressorChange:
    """The compressor stops or starts to pump: by hand, by a cycling clutch, or by a cut-out."""

    at_s: float
    on: bool


@dataclass(frozen=True)
class Hunting:
    """The expansion valve hunts: half the swing of the low side in pascals, and the period."""

    from_s: float
    until_s: float
    low_pa: float
    period_s: float


@dataclass(frozen=True)
class Plateau:
    """The stretch between two disturbances.

    ``steady_from_s`` is the moment from which each channel stays within 2.5 % (an absolute pressure, the
    engine speed) or 1 K (a line) of where it ends, None where the compressor does not pump or the sides
    are equal. ``left`` is how far the pressures still are from where they are heading when it ends, as part
    of themselves: see `to_go`.
    ``settled`` are the values at the end, SI, with ``superheat_k`` and ``subcooling_k``.
    """

    start_s: float
    end_s: float
    steady_from_s: float | None
    left: float
    engine_rpm: float
    fan_stage: int
    load: int
    settled: Mapping[str, float]

    @property
    def steady_s(self) -> float:
        """For how long it is steady."""
        return 0.0 if self.steady_from_s is None else self.end_s - self.steady_from_s


@dataclass(frozen=True, eq=False)
class Run:
    """The noise-free truth of a session; arrays (n,) every 0.2 s from 0, pressures absolute.

    Attributes
    ----------
    channels
        ``low_pa high_pa suction_line_k liquid_line_k vent_k ambient_k engine_rpm``; without hunting. From
        the simulator also ``stroke``, the share of the full displacement (an electric one's: of its speed).
    fan_stage, pumping, load
        The fan's stage, whether the compressor pumps, and a number that counts changes of blower or load.
    hunting
        Stretches of hunting, which the instruments show on top of the channels.
    """

    refrigerant: str
    kind: CompressorKind | None
    channels: Mapping[str, NDArray[np.float64]]
    fan_stage: NDArray[np.intp]
    pumping: NDArray[np.bool_]
    load: NDArray[np.intp]
    hunting: tuple[Hunting, ...] = ()
    offsets: Mapping[Role, float] = field(default_factory=dict)

    @cached_property
    def time_s(self) -> NDArray[np.float64]:
        """Seconds from the beginning, (n,)."""
        return STEP_S * np.arange(self.fan_stage.size, dtype=np.float64)

    @cached_property
    def engine_steps(self) -> tuple[EngineStep, ...]:
        """Changes of engine speed by more than 150 rpm and 15 %, faster than 30 rpm a second."""
        rpm = self.channels["engine_rpm"]
        moving = np.abs(np.diff(rpm, append=rpm[-1])) > SLOW_RPM_PER_S * STEP_S
        found = []
        for first, last in spans(moving):
            start, end = float(rpm[first]), float(rpm[min(last + 1, rpm.size - 1)])
            if abs(end - start) > max(150.0, 0.15 * min(start, end)):
                found.append(EngineStep(STEP_S * first, STEP_S * (last + 1), start, end))
        return tuple(found)

    @cached_property
    def fan_changes(self) -> tuple[FanChange, ...]:
        """Changes of the fan's stage."""
        stage = self.fan_stage
        return tuple(
            FanChange(STEP_S * (at + 1), int(stage[at + 1]), bool(stage[at + 1] > stage[at]))
            for at in np.flatnonzero(np.diff(stage)).tolist()
        )

    @cached_property
    def compressor_changes(self) -> tuple[CompressorChange, ...]:
        """Moments at which the compressor stops or starts to pump."""
        return tuple(
            CompressorChange(STEP_S * (at + 1), bool(self.pumping[at + 1]))
            for at in np.flatnonzero(np.diff(self.pumping.astype(np.int8))).tolist()
        )

    @cached_property
    def load_changes_s(self) -> tuple[float, ...]:
        """Moments at which blower or load changed."""
        return tuple(STEP_S * (at + 1) for at in np.flatnonzero(np.diff(self.load)).tolist())

    @cached_property
    def plateaus(self) -> tuple[Plateau, ...]:
        """Every stretch between two disturbances, in order of time."""
        moments = {0.0, float(self.time_s[-1])} | set(self.load_changes_s)
        moments |= {one.at_s for one in self.fan_changes} | {one.at_s for one in self.engine_steps}
        moments |= {one.at_s for one in self.compressor_changes}
        return tuple(
            self._plateau(first, last)
            for first, last in pairwise(round(one / STEP_S) for one in sorted(moments))
            if last > first
        )

    def _plateau(self, first: int, last: int) -> Plateau:
        ends = slice(max(first, last - round(ENDS_OVER_S / STEP_S)), last)
        ends = slice(max(ends.start, (first + last) // 2), last)
        settled = {name: float(values[ends].mean()) for name, values in self.channels.items()}
        steady_from = max(self._arrival(name, settled[name], first, last) for name in BANDS)
        works = self.pumping[first:last].all() and settled["high_pa"] > 1.3 * settled["low_pa"]
        curve = saturation(self.refrigerant)
        settled["superheat_k"] = settled["suction_line_k"] - curve.temperature_k(settled["low_pa"])
        settled["subcooling_k"] = curve.temperature_k(settled["high_pa"]) - settled["liquid_line_k"]
        return Plateau(
            start_s=STEP_S * first,
            end_s=STEP_S * last,
            steady_from_s=STEP_S * steady_from if works and steady_from < last else None,
            left=self._left(first, last),
            engine_rpm=settled["engine_rpm"],
            fan_stage=int(self.fan_stage[first]),
            load=int(self.load[first]),
            settled=settled,
        )

    def arrival_s(self, from_s: float, until_s: float) -> float:
        """The moment from which every channel stays within its band about where a stretch ends."""
        first, last = round(from_s / STEP_S), round(until_s / STEP_S)
        ends = slice(max((first + last) // 2, last - round(ENDS_OVER_S / STEP_S)), last)
        levels = {name: float(self.channels[name][ends].mean()) for name in BANDS}
        return STEP_S * max(self._arrival(name, level, first, last) for name, level in levels.items())

    def _arrival(self, name: str, level: float, first: int, last: int) -> int:
        share, least = BANDS[name]
        outside = np.flatnonzero(
            np.abs(self.channels[name][first:last] - level) > max(share * abs(level), least)
        )
        return first + (int(outside[-1]) + 1 if outside.size else 0)

    def _left(self, first: int, last: int) -> float:
        return max(to_go(self.channels[name][first:last]) for name in ("low_pa", "high_pa"))


def to_go(values: NDArray[np.float64]) -> float:
    """How far a settling series (n,) still is from where it is heading, as part of itself.

    The further of what `settles_on` and `rings_on` tell; of a series that rings the former counts only
    where it is heading anywhere.
    """
    settling, ringing = settles_on(values), rings_on(values)
    if ringing is None:
        return settling
    return max(settling, ringing) if np.isfinite(settling) else ringing


def settles_on(values: NDArray[np.float64]) -> float:
    """How far a series (n,) that closes in on its end is from it, as part of itself.

    From the changes a and b over the last two stretches of 10 s: what is left is b q / (1 - q), q = b / a.
    Infinite where it does not slow down and moves by more than 0.4 % in 10 s.
    """
    reach = round(10.0 / STEP_S)
    if values.size < 2 * reach + 1:
        return float("inf")
    level = float(values[-1])
    early = float(values[-1 - reach] - values[-1 - 2 * reach]) / level
    late = float(values[-1] - values[-1 - reach]) / level
    if abs(late) < 1e-4:
        return abs(late)
    ratio = late / early if early else 1.0
    if not 0.0 < ratio < 0.95:
        return abs(late) if abs(late) < HARDLY else float("inf")
    return abs(late * ratio / (1.0 - ratio))


def rings_on(values: NDArray[np.float64]) -> float | None:
    """How far a series (n,) that rings still goes from where it ends, as part of itself.

    Each swing is to the next, q times as large, as the last one was to the one before: from the last turn it
    ends at the swing q / (1 + q) on, and the next turn lies q q / (1 + q) of it beyond. Infinite where the
    highest and the lowest turns alike go on to one side: then it rings about something that moves. None
    where it does not ring: it has not turned about three times, swings ever further, has gone as far since
    the last turn as before it, or has not turned for longer than it took.
    """
    level = abs(float(values[-1]))
    at, turns = turning_points(values, TURN * level)
    if len(turns) < 4:
        return None
    before, last = (abs(turns[i] - turns[i - 1]) for i in (-2, -1))
    if values.size - at[-1] > STILL * (at[-1] - at[-2]):
        return None
    if len(turns) > 4:
        highest, lowest = (turns[-1] - turns[-3]) / level, (turns[-2] - turns[-4]) / level
        moves = min(abs(highest), abs(lowest)) if highest * lowest > 0.0 else 0.0
        if HARDLY < moves < 2.0 * last / level:
            return float("inf")
    ratio = last / before
    if ratio > GROWING or abs(float(values[-1]) - turns[-1]) >= last:
        return None
    end = turns[-1] + (turns[-2] - turns[-1]) * ratio / (1.0 + ratio)
    return max(abs(float(values[-1]) - end), last * ratio**2 / (1.0 + ratio)) / level


def turning_points(values: NDArray[np.float64], least: float) -> tuple[list[int], list[float]]:
    """Where a series (n,) begins, and where it turns about by at least so much: places and values."""
    places, turns, way = [0], [float(values[0])], 0.0
    place, furthest = 0, float(values[0])
    for i, value in enumerate(values.tolist()):
        if way * (value - furthest) > 0.0 or (way == 0.0 and abs(value - furthest) >= least):
            way = way or (1.0 if value > furthest else -1.0)
            place, furthest = i, value
        elif way * (furthest - value) >= least:
            places.append(place)
            turns.append(furthest)
            place, furthest, way = i, value, -way
    return places, turns


BANDS = {
    "low_pa": (SETTLED_SHARE, 0.0),
    "high_pa": (SETTLED_SHARE, 0.0),
    "suction_line_k": (0.0, SETTLED_K),
    "liquid_line_k": (0.0, SETTLED_K),
    "engine_rpm": (SETTLED_SHARE, 30.0),
}


def spans(mask: NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
    """First and last index of each run of True."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(np.int8)))
    for first, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        yield first, end - 1
