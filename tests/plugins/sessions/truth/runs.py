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
        return abs(late) if abs(late) < 4e-3 else float("inf")
    return abs(late * ratio / (1.0 - ratio))


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
