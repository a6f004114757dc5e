"""Simulated sessions on the demo's cars: the schedule of a test, and the truth behind it."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_demo.design import HEALTHY, Surroundings
from knowngood_demo.run import Leg, Trace, run
from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from knowngood_demo.cars import Car
    from knowngood_demo.design import Faults

SUMMER_DAY = Surroundings(
    ambient_k=ZERO_CELSIUS_K + 31.5,
    intake_k=ZERO_CELSIUS_K + 26.0,
    relative_humidity=0.48,
    barometer_pa=98_470.0,
)
_IDLE_S, _FAST_S, _AFTER_S = 195.0, 255.0, 300.0
_SETTLES_S = 75
_SHORTEST_PLATEAU_S = 30


@dataclass(frozen=True, slots=True)
class Plateau:
    """A stretch in which a run had settled, with its true values in SI."""

    label: str
    start_s: int
    end_s: int
    engine_rpm: float
    fan_stage: int
    values: dict[Quantity, float]


def idle_fast_idle(
    car: Car, around: Surroundings, faults: Faults = HEALTHY, fast_rpm: float = 2_000.0
) -> Trace:
    """Idle, a higher speed until the coolant has called the fan's second stage, idle again: 12:30."""
    legs = [Leg(_IDLE_S, car.idle_rpm), Leg(_FAST_S, fast_rpm), Leg(_AFTER_S, car.idle_rpm)]
    return run(car.design, around, legs, faults, warm_up_s=240.0)


def fan_changes(trace: Trace) -> list[tuple[int, int]]:
    """Moments in whole seconds at which the fan's stage changed, each with the new stage."""
    stage = trace.column("fan_stage")
    return [(int(at) + 1, int(stage[at + 1])) for at in np.flatnonzero(np.diff(stage))]


def plateaus(trace: Trace, around: Surroundings) -> list[Plateau]:
    """The stretches between changes of engine speed and fan stage, from when they had settled."""
    rpm = trace.column("engine_rpm")
    moving = np.abs(np.diff(rpm, prepend=rpm[0])) > 1.0
    moments = {at for at, _ in fan_changes(trace)} | {int(at) for at in np.flatnonzero(moving)}
    bounds = [-_SETTLES_S, *sorted(moments), len(rpm)]
    found = []
    for before, after in itertools.pairwise(bounds):
        start = before + _SETTLES_S
        if after - start >= _SHORTEST_PLATEAU_S:
            found.append(_plateau(trace, around, start, after - 2))
    return found


def _plateau(trace: Trace, around: Surroundings, start_s: int, end_s: int) -> Plateau:
    mean = trace.settled(start_s, end_s)
    values = {
        Quantity.LOW_SIDE: mean["low_pa"],
        Quantity.HIGH_SIDE: mean["high_pa"],
        Quantity.SUPERHEAT: mean["suction_line_k"] - mean["evaporating_k"],
        Quantity.SUBCOOLING: mean["condensing_k"] - mean["liquid_line_k"],
        Quantity.CONDENSING_ABOVE_AMBIENT: mean["condensing_k"] - around.ambient_k,
        Quantity.EVAPORATING: mean["evaporating_k"],
        Quantity.VENT: mean["vent_k"],
    }
    rpm = round(mean["engine_rpm"])
    label = "idle" if rpm < 1_100 else f"{rpm:.0f} rpm"
    return Plateau(label, start_s, end_s, rpm, round(mean["fan_stage"]), values)
