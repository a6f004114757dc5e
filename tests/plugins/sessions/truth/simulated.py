"""Truth from the simulated cars of the demo, driven through schedules drawn at random."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from tests.plugins.sessions.truth.runs import STEP_S, Run

from knowngood_demo.cars import CARS
from knowngood_demo.design import HEALTHY, FanDesign, Faults, LoopDesign, Surroundings
from knowngood_demo.loop import Loop
from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import CompressorKind

RAMP_RPM_PER_S = 250.0
WARM_UP_S = 180.0
FINE_STEP_S = 0.5 * STEP_S
"""The simulator's low side swings from one step to the next at a high engine speed and steps of 0.2 s."""

KEPT = ("low_pa", "high_pa", "suction_line_k", "liquid_line_k", "vent_k", "engine_rpm", "stroke")


@dataclass(frozen=True)
class Leg:
    """A stretch of a schedule: seconds, engine speed, compressor allowed, and share of the blower."""

    seconds: float
    rpm: float
    on: bool = True
    blower: float = 1.0


@dataclass(frozen=True)
class Setting:
    """Everything that a simulated session is made from."""

    design: LoopDesign
    around: Surroundings
    legs: tuple[Leg, ...]
    faults: Faults = HEALTHY
    ambient_k_per_s: float = 0.0
    coolant_k: float = 363.15


@cache
def simulated(seed: int) -> Run:
    """The session of a seed; the same seed gives the same session."""
    return drive(setting(np.random.default_rng(40_000 + seed)))


def drive(made: Setting) -> Run:
    """Simulate a setting; every other step is kept."""
    loop = Loop(made.design, made.around, made.faults, made.coolant_k)
    rpm = made.legs[0].rpm
    loop.around = replace(made.around, blower=made.legs[0].blower)
    for _ in range(round(WARM_UP_S / FINE_STEP_S)):
        loop.step(rpm, FINE_STEP_S)
    kept: dict[str, list[float]] = {name: [] for name in (*KEPT, "ambient_k")}
    stages: list[int] = []
    pumping: list[bool] = []
    load: list[int] = []
    changed, elapsed_s = 0, 0.0
    for before, leg in zip((made.legs[0], *made.legs), made.legs, strict=False):
        changed += leg.blower != before.blower
        for _ in range(round(leg.seconds / STEP_S)):
            rpm += float(np.clip(leg.rpm - rpm, -RAMP_RPM_PER_S * STEP_S, RAMP_RPM_PER_S * STEP_S))
            elapsed_s += STEP_S
            ambient_k = made.around.ambient_k + made.ambient_k_per_s * elapsed_s
            loop.around = replace(made.around, ambient_k=ambient_k, blower=leg.blower)
            pumps = leg.on and loop.control.swept_m3_per_s(rpm) > 0.0
            loop.step(rpm, FINE_STEP_S, on=leg.on)
            snapshot = loop.step(rpm, FINE_STEP_S, on=leg.on)
            for name in KEPT:
                kept[name].append(getattr(snapshot, name))
            kept["ambient_k"].append(ambient_k)
            stages.append(snapshot.fan_stage)
            pumping.append(pumps)
            load.append(changed)
    channels = {name: np.array(values) for name, values in kept.items()}
    stage = np.array(stages)
    if len(set(made.design.fan.stage_kg_per_s)) == 1:  # a second stage without more air is none
        stage[:] = 1
    kind = made.design.compressor.kind
    return Run(made.design.refrigerant, kind, channels, stage, np.array(pumping), np.array(load))


def setting(random: np.random.Generator) -> Setting:
    """A car with the scatter of its kind, a day, and a schedule of two to five legs."""
    car = CARS[random.integers(len(CARS))]
    around = _day(random)
    faults = HEALTHY if random.random() < 0.7 else Faults(charge=float(random.uniform(0.6, 1.15)))
    return Setting(
        _varied(car.design, random),
        around,
        _legs(car.idle_rpm, random),
        faults,
        ambient_k_per_s=float(random.choice([0.0, 0.0, random.uniform(-2.0, 2.0) / 600.0])),
        coolant_k=float(random.uniform(356.0, 369.0)),
    )


def _day(random: np.random.Generator) -> Surroundings:
    ambient_c = float(random.uniform(20.0, 40.0))
    return Surroundings(
        ambient_k=ZERO_CELSIUS_K + ambient_c,
        intake_k=ZERO_CELSIUS_K + float(np.clip(ambient_c + random.uniform(-10.0, 2.0), 20.0, 38.0)),
        relative_humidity=float(random.uniform(0.25, 0.75)),
        barometer_pa=float(random.uniform(84e3, 102.5e3)),
    )


def _varied(design: LoopDesign, random: np.random.Generator) -> LoopDesign:
    """A car of the design: with the scatter of its parts, another fan, a clutch that cycles or does not."""
    compressor = design.compressor
    if compressor.kind is CompressorKind.FIXED and random.random() < 0.6:
        compressor = replace(compressor, air_off_k=245.0)
    compressor = replace(compressor, displacement_m3=compressor.displacement_m3 * random.uniform(0.85, 1.1))
    return replace(
        design,
        compressor=compressor,
        fan=_fan(design.fan, random),
        condenser_ua=design.condenser_ua * random.uniform(0.85, 1.15),
        evaporator_ua=design.evaporator_ua * random.uniform(0.85, 1.15),
    )


def _fan(fan: FanDesign, random: np.random.Generator) -> FanDesign:
    """One stage alone, other thresholds, or the fan as it is."""
    choice = random.random()
    if choice < 0.35:
        air = float(random.uniform(0.45, 0.8))
        return replace(fan, stage_kg_per_s=(air, air))
    if choice < 0.65:
        on_pa = float(random.uniform(13e5, 19e5))
        return replace(fan, on_pa=on_pa, off_pa=on_pa - float(random.uniform(2e5, 5e5)))
    return fan


def _legs(idle_rpm: float, random: np.random.Generator) -> tuple[Leg, ...]:
    """Idle and faster in turn, now and then with the compressor off line or another blower speed."""
    legs = [Leg(_seconds(random), idle_rpm)]
    for _ in range(random.integers(1, 4)):
        last, drawn = legs[-1], random.random()
        if drawn < 0.12:
            legs.append(replace(last, seconds=float(random.uniform(40.0, 90.0)), on=False))
            legs.append(replace(last, seconds=_seconds(random)))
        elif drawn < 0.24:
            blower = float(random.uniform(0.5, 0.8)) if last.blower == 1.0 else 1.0
            legs.append(replace(last, seconds=_seconds(random), blower=blower))
        else:
            rpm = idle_rpm if last.rpm > idle_rpm else float(random.choice([1_500.0, 2_000.0, 2_500.0]))
            legs.append(replace(last, seconds=_seconds(random), rpm=rpm))
    return tuple(legs)


def _seconds(random: np.random.Generator) -> float:
    """From 40 s to 10 min, half of them under two and a half minutes."""
    return float(np.exp(random.uniform(np.log(40.0), np.log(600.0))))
