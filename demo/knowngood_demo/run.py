"""Run a loop through a schedule of engine speed and keep what an instrument could see."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np

from knowngood_demo.design import HEALTHY
from knowngood_demo.loop import Loop, Snapshot

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from knowngood_demo.design import Faults, LoopDesign, Surroundings

STEP_S = 0.1
_RAMP_RPM_PER_S = 250.0


@dataclass(frozen=True, slots=True)
class Leg:
    """A stretch of a schedule: how long, at which engine speed, with the compressor on or off line."""

    seconds: float
    rpm: float
    on: bool = True


@dataclass(frozen=True, slots=True)
class Trace:
    """Snapshots at the end of every second; `column` gives one of their fields as an array (n,)."""

    snapshots: tuple[Snapshot, ...]

    @property
    def time_s(self) -> NDArray[np.float64]:
        """Seconds from the first snapshot, (n,)."""
        return np.arange(len(self.snapshots), dtype=np.float64)

    def column(self, name: str) -> NDArray[np.float64]:
        """One field over time, (n,)."""
        return np.array([getattr(one, name) for one in self.snapshots], dtype=np.float64)

    def settled(self, start_s: int, end_s: int) -> dict[str, float]:
        """Mean of every field between two times in whole seconds."""
        part = Trace(self.snapshots[start_s:end_s])
        return {one.name: float(part.column(one.name).mean()) for one in fields(Snapshot)}


def run(
    design: LoopDesign,
    around: Surroundings,
    legs: Sequence[Leg],
    faults: Faults = HEALTHY,
    *,
    warm_up_s: float = 0.0,
    coolant_k: float = 363.15,
    step_s: float = STEP_S,
) -> Trace:
    """Simulate a car through the legs of a schedule, one snapshot a second.

    The engine speed ramps by 250 rpm a second between legs. ``warm_up_s`` seconds at the first leg's
    speed come before the first snapshot. ``step_s`` divides a second, at most 0.2.
    """
    loop = Loop(design, around, faults, coolant_k)
    rpm = legs[0].rpm
    for _ in range(round(warm_up_s / step_s)):
        loop.step(rpm, step_s)
    kept = []
    most = _RAMP_RPM_PER_S * step_s
    a_second = round(1.0 / step_s)
    for leg in legs:
        for _ in range(round(leg.seconds)):
            for _ in range(a_second):
                change = min(max(leg.rpm - rpm, -most), most)
                rpm += change
                snapshot = loop.step(rpm, step_s, on=leg.on)
            kept.append(snapshot)
    return Trace(tuple(kept))
