"""Eventful sessions on the car of another make, `vessels`: days, cars and schedules of its own hand."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from tests.plugins.sessions.eventful.happened import (
    Eventful,
    Truth,
    compressor_truths,
    fan_truths,
    hunting_truths,
    logger_at_random,
)
from tests.plugins.sessions.eventful.vessels import Car, Vessels, settled

from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import CompressorKind, Role

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

STEP_S = 0.1
ROLES = (Role.LOW_SIDE, Role.HIGH_SIDE, Role.SUCTION_LINE, Role.LIQUID_LINE, Role.ENGINE_SPEED)
PSI = 6_894.757
HUNTS_FROM = 2.6
WHATS = ("engine", "blip", "creep", "fan", "line", "blower", "air")
OFTEN = (0.24, 0.05, 0.05, 0.32, 0.12, 0.12, 0.1)
CREEP_RPM_PER_S = 8.0
"""So slowly does a foot or a control that means no step move the engine."""


@dataclass(frozen=True)
class Act:
    at_s: float
    what: str
    value: float


def elsewhere(seed: int) -> Eventful:
    """One session; every fifth car's clutch cycles, every fourth's fan goes by the high side."""
    random = np.random.default_rng(52_000 + seed)
    cycles = seed % 5 == 4
    car = _car(
        random,
        CompressorKind.FIXED if cycles else list(CompressorKind)[seed % 4],
        hunts=seed % 7 == 3 and not cycles,
    )
    seconds = float(random.uniform(400.0, 800.0))
    if cycles:
        car = _cycling(random, car)
    elif seed % 4 == 2 and car.eager < HUNTS_FROM:
        car = _calling_its_fan(random, car)
    vessels = Vessels(car)
    settled(vessels, 120.0)
    acts = _acts(random, car, seconds)
    if cycles:
        acts = [one for one in acts if one.what in {"blower", "air"}]
    return _session(vessels, acts, seconds, seed, random)


def _car(random: np.random.Generator, kind: CompressorKind, *, hunts: bool) -> Car:
    ambient_k = ZERO_CELSIUS_K + float(random.uniform(20.0, 38.0))
    slow = float(random.uniform(0.35, 0.6))
    return Car(
        refrigerant=str(random.choice(["R-134a", "R-1234yf"])),
        kind=kind,
        idle_rpm=float(random.uniform(650.0, 950.0)),
        swept_m3=float(random.uniform(110e-6, 170e-6)),
        evaporator_j_per_k=float(random.uniform(1_500.0, 6_000.0)),
        condenser_j_per_k=float(random.uniform(2_000.0, 6_000.0)),
        evaporator_w_per_k=float(random.uniform(140.0, 210.0)),
        condenser_w_per_k=float(random.uniform(380.0, 520.0)),
        ambient_k=ambient_k,
        cabin_k=ambient_k - float(random.uniform(2.0, 8.0)),
        fan=(slow, slow * float(random.uniform(1.5, 2.3))),
        fan_spin_s=float(random.uniform(0.5, 3.0)),
        eager=float(random.uniform(3.0, 5.0)) if hunts else float(random.uniform(0.0, 1.5)),
        set_pa=float(random.uniform(2.7e5, 3.2e5)),
        control_s=float(random.uniform(0.5, 2.0)),
        electric_rpm=float(random.uniform(1_200.0, 2_000.0)),
    )


def _cycling(random: np.random.Generator, car: Car) -> Car:
    low_pa, _ = settled(Vessels(car), 120.0)
    out_pa = low_pa + PSI * float(random.uniform(1.0, 4.0))
    return replace(car, switch_pa=(out_pa, out_pa + PSI * float(random.uniform(14.0, 24.0))))


def _calling_its_fan(random: np.random.Generator, car: Car) -> Car:
    vessels = Vessels(car)
    _, first_pa = settled(vessels, 150.0)
    vessels.stage = 2
    _, second_pa = settled(vessels, 150.0)
    between = first_pa - second_pa
    up_pa = first_pa - between * float(random.uniform(0.1, 0.3))
    down_pa = second_pa + between * float(random.uniform(0.1, 0.3))
    return replace(car, fan_pa=(up_pa, down_pa), fan_waits_s=float(random.uniform(0.0, 2.0)))


def _acts(random: np.random.Generator, car: Car, seconds: float) -> list[Act]:
    acts: list[Act] = []
    at_s, stage, fast, line = float(random.uniform(45.0, 90.0)), 1, False, True
    hunts = car.eager >= HUNTS_FROM
    whats = [one for one in WHATS if not hunts or one in {"fan", "blip"}]
    often = np.array([OFTEN[WHATS.index(one)] for one in whats])
    while at_s < seconds - 40.0:
        what = "line" if not line else str(random.choice(whats, p=often / often.sum()))
        if what == "engine":
            fast = not fast
            acts.append(
                Act(at_s, "engine", float(random.uniform(1_300.0, 3_000.0)) if fast else car.idle_rpm)
            )
        elif what == "blip" and not fast:
            acts += [Act(at_s, "pedal", car.idle_rpm + 900.0), Act(at_s + 1.5, "pedal", car.idle_rpm)]
        elif what == "creep" and not fast:
            fast = True
            to_rpm = car.idle_rpm + float(random.uniform(300.0, 700.0))
            steps = np.arange(car.idle_rpm, to_rpm, CREEP_RPM_PER_S)
            acts += [Act(at_s + i, "pedal", float(one)) for i, one in enumerate(steps)]
            at_s += steps.size
        elif what == "fan" and car.fan_pa is None:
            stage = 3 - stage
            acts.append(Act(at_s, "fan", stage))
        elif what == "line":
            line = not line
            acts.append(Act(at_s, "line", line))
        elif what == "blower":
            acts.append(Act(at_s, "blower", float(random.uniform(0.5, 1.0))))
        elif what == "air":
            acts.append(Act(at_s, "air", car.ambient_k + float(random.uniform(-4.0, 4.0))))
        at_s += float(random.uniform(30.0, 140.0)) * (2.2 if hunts else 1.0)
    return acts


def _done(vessels: Vessels, act: Act) -> None:
    if act.what in {"engine", "pedal"}:
        vessels.asked_rpm = act.value
    elif act.what == "fan":
        vessels.stage = int(act.value)
    elif act.what == "line":
        vessels.line_on = bool(act.value)
    elif act.what == "blower":
        vessels.blower = act.value


def _session(
    vessels: Vessels, acts: Sequence[Act], seconds: float, seed: int, random: np.random.Generator
) -> Eventful:
    car, left, air_k = vessels.car, list(acts), vessels.car.ambient_k
    rows, on, stage, feed = [], [], [], []
    for i in range(round(seconds / STEP_S)):
        while left and left[0].at_s <= i * STEP_S:
            act = left.pop(0)
            air_k = act.value if act.what == "air" else air_k
            _done(vessels, act)
        vessels.ambient_k += (air_k - vessels.ambient_k) * STEP_S / 25.0
        rows.append(vessels.step(STEP_S))
        on.append(vessels.on)
        stage.append(vessels.stage)
        feed.append(vessels.feed)
    time_s = STEP_S * np.arange(len(rows), dtype=np.float64)
    columns = dict(zip(ROLES, np.array(rows).T, strict=True))
    engine_s = [one.at_s for one in acts if one.what == "engine"]
    truths = compressor_truths(time_s, np.array(on))
    truths += fan_truths(time_s, np.array(stage), np.array(on), engine_s)
    truths += [Truth("engine", at_s) for at_s in engine_s]
    if car.eager >= HUNTS_FROM:
        disturbed_s = [one.at_s for one in acts]
        truths += _hunting(columns[Role.LOW_SIDE], np.array(feed), seconds, disturbed_s)
    logger = logger_at_random(random)
    up_pa, down_pa = car.fan_pa or (None, None)
    recording = logger.keep(time_s, columns, seed)
    return Eventful(recording, car.refrigerant, tuple(truths), logger.instruments, up_pa, down_pa)


def _hunting(
    low_pa: NDArray[np.float64], feed: NDArray[np.float64], seconds: float, disturbed_s: Sequence[float]
) -> list[Truth]:
    """Hunting all session long, its period counted by how often the valve comes through its middle."""
    rises_s = np.flatnonzero((feed[:-1] < 1.0) & (feed[1:] >= 1.0)) * STEP_S
    period_s = float(np.diff(rises_s).mean())
    reach = round(period_s / STEP_S)
    swings_pa = [0.5 * float(np.ptp(low_pa[i : i + reach])) for i in range(0, low_pa.size - reach, reach)]
    return hunting_truths(period_s, float(np.median(swings_pa)), seconds, disturbed_s)
