"""Eventful sessions on the demo's simulator: all kinds of compressor, both refrigerants, fans of its own."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
from tests.plugins.sessions.eventful.happened import (
    Eventful,
    Truth,
    compressor_truths,
    fan_truths,
    logger_at_random,
)

from knowngood_demo.cars import CARS
from knowngood_demo.design import Surroundings
from knowngood_demo.loop import Loop
from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import CompressorKind, MeteringDevice, Role

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tests.plugins.sessions.eventful.happened import Logger

    from knowngood_demo.design import LoopDesign

STEP_S = 0.1
SWITCH_LAG_S = 1.5
PSI = 6_894.757
KINDS = (*CompressorKind, "cycling")
RAMP_RPM_PER_S = 400.0


class StagedFan:
    """A fan of two or three stages: forced by a schedule, or by the high side with hysteresis."""

    def __init__(self, flows: Sequence[float], spin_up_s: float = 1.5, waits_s: float = 0.0) -> None:
        self.flows, self.spin_up_s, self.waits_s = tuple(flows), spin_up_s, waits_s
        self.stage, self.coolant_k, self.flow_kg_per_s = 1, 360.0, flows[0]
        self.thresholds_pa: tuple[float, float] | None = None
        self.due_s = 0.0

    def follow(self, high_pa: float, engine_rpm: float, ambient_k: float, dt_s: float) -> None:
        del engine_rpm, ambient_k
        if self.thresholds_pa is not None:
            up, down = self.thresholds_pa
            wanted = 2 if high_pa > up else 1 if high_pa < down else self.stage
            self.due_s = self.due_s + dt_s if wanted != self.stage else 0.0
            if wanted != self.stage and self.due_s > self.waits_s:
                self.stage, self.due_s = wanted, 0.0
        wanted_flow = self.flows[self.stage - 1]
        self.flow_kg_per_s += (wanted_flow - self.flow_kg_per_s) * min(dt_s / self.spin_up_s, 1.0)


@dataclass(frozen=True)
class Act:
    """Something done to the car at a moment: ``rpm``, ``fan``, ``line`` (compressor), ``blower``, ``air``."""

    at_s: float
    what: str
    value: float


@dataclass
class Course:
    """What the loop went through, sample by sample on the simulator's step."""

    time_s: list[float] = field(default_factory=list)
    rows: list[tuple[float, ...]] = field(default_factory=list)
    on: list[bool] = field(default_factory=list)
    stage: list[int] = field(default_factory=list)


@dataclass
class Garage:
    """A car on the simulator and what is being done to it."""

    design: LoopDesign
    around: Surroundings
    fan: StagedFan
    rpm: float
    low_switch_pa: tuple[float, float] | None = None
    raised_idle_rpm: float = 0.0
    line_on: bool = True
    switch_on: bool = True
    switch_sees_pa: float = 4e5

    def __post_init__(self) -> None:
        self.loop = Loop(self.design, self.around)
        self.loop.fan = self.fan  # type: ignore[assignment]
        self.asked_rpm = self.rpm

    def settle(self, seconds: float) -> tuple[float, float]:
        for _ in range(round(seconds / 0.2)):
            low_pa, high_pa = self.step(0.2)[:2]
        return low_pa, high_pa

    @property
    def running(self) -> bool:
        control = self.loop.control
        fixed = control.design.kind is CompressorKind.FIXED
        return self.line_on and self.switch_on and not control.cut_out and (control.engaged or not fixed)

    def step(self, dt_s: float = STEP_S) -> tuple[float, ...]:
        asked = self.asked_rpm + (self.raised_idle_rpm if self.running else 0.0)
        most = RAMP_RPM_PER_S * dt_s
        self.rpm += min(max(asked - self.rpm, -most), most)
        seen = self.loop.step(self.rpm, dt_s, on=self.line_on and self.switch_on)
        if self.low_switch_pa is not None:
            out, back = self.low_switch_pa
            self.switch_sees_pa += (seen.low_pa - self.switch_sees_pa) * dt_s / SWITCH_LAG_S
            self.switch_on = self.switch_sees_pa > (out if self.switch_on else back)
        return seen.low_pa, seen.high_pa, seen.suction_line_k, seen.liquid_line_k, seen.vent_k, self.rpm

    def act(self, one: Act) -> None:
        if one.what == "rpm":
            self.asked_rpm = one.value
        elif one.what == "fan":
            self.fan.stage = int(one.value)
        elif one.what == "line":
            self.line_on = bool(one.value)
        elif one.what == "blower":
            self.loop.around = replace(self.loop.around, blower=one.value)
        else:
            self.loop.around = replace(self.loop.around, ambient_k=one.value)

    def run(self, acts: Sequence[Act], seconds: float, drift_k_per_s: float = 0.0) -> Course:
        course, left = Course(), sorted(acts, key=lambda one: one.at_s)
        for i in range(round(seconds / STEP_S)):
            while left and left[0].at_s <= i * STEP_S:
                self.act(left.pop(0))
            if drift_k_per_s:
                around = self.loop.around
                self.loop.around = replace(around, ambient_k=around.ambient_k + drift_k_per_s * STEP_S)
            course.rows.append(self.step())
            course.time_s.append(i * STEP_S)
            course.on.append(self.running)
            course.stage.append(self.fan.stage)
        return course


ROLES = (Role.LOW_SIDE, Role.HIGH_SIDE, Role.SUCTION_LINE, Role.LIQUID_LINE, Role.VENT, Role.ENGINE_SPEED)


def kept(course: Course, garage: Garage, acts: Sequence[Act], logger: Logger, seed: int) -> Eventful:
    """What a logger keeps of a course, with the truth."""
    time_s, on = np.array(course.time_s), np.array(course.on)
    columns = dict(zip(ROLES, np.array(course.rows).T, strict=True))
    if garage.design.compressor.kind is CompressorKind.ELECTRIC:
        del columns[Role.ENGINE_SPEED]
    truths = compressor_truths(time_s, on)
    engine_s = [one.at_s for one in acts if one.what == "rpm"]
    truths += fan_truths(time_s, np.array(course.stage), on, engine_s)
    if Role.ENGINE_SPEED in columns:
        truths += [Truth("engine", at_s) for at_s in engine_s]
    up, down = garage.fan.thresholds_pa or (None, None)
    recording = logger.keep(time_s, columns, seed)
    return Eventful(recording, garage.design.refrigerant, tuple(truths), logger.instruments, up, down)


def garage_at_random(random: np.random.Generator, kind: str) -> Garage:
    """A car of one kind of compressor on some day, with a fan of two stages."""
    cycling = kind not in set(CompressorKind)
    wanted = CompressorKind.FIXED if cycling else CompressorKind(kind)
    cars = [one for one in CARS if one.family.design.compressor.kind is wanted]
    design = cars[random.integers(len(cars))].design
    if wanted is CompressorKind.FIXED and not cycling and random.random() < 0.5:
        design = replace(design, metering=MeteringDevice.EXPANSION_VALVE)
    swept_m3 = design.compressor.displacement_m3 * random.uniform(0.85, 1.15)
    compressor = replace(design.compressor, displacement_m3=swept_m3)
    if wanted is CompressorKind.FIXED:
        compressor = replace(compressor, air_off_k=ZERO_CELSIUS_K - 20.0)
    design = replace(
        design,
        refrigerant=str(random.choice(["R-134a", "R-1234yf"])),
        compressor=compressor,
        condenser_ua=design.condenser_ua * random.uniform(0.85, 1.2),
        condenser_air_ua=design.condenser_air_ua * random.uniform(0.9, 1.2),
    )
    ambient_k = ZERO_CELSIUS_K + random.uniform(22.0, 36.0)
    around = Surroundings(ambient_k, ambient_k - random.uniform(2.0, 6.0), random.uniform(0.3, 0.7))
    slow = random.uniform(0.35, 0.5)
    flows = slow, slow * random.uniform(1.6, 2.2)
    fan = StagedFan(flows, random.uniform(0.7, 2.5), random.uniform(0.0, 2.0))
    garage = Garage(design, around, fan, random.uniform(680.0, 900.0))
    if cycling:
        mild = replace(
            around,
            ambient_k=ZERO_CELSIUS_K + random.uniform(20.0, 28.0),
            intake_k=ZERO_CELSIUS_K + random.uniform(18.0, 23.0),
            relative_humidity=0.35,
            blower=random.uniform(0.4, 0.9),
        )
        garage = Garage(design, mild, fan, random.uniform(700.0, 1_600.0))
        _cycle(garage, random)
    return garage


def _cycle(garage: Garage, random: np.random.Generator) -> None:
    """Let the clutch cycle by the low side, some 20 psi between out and back, or by the evaporator."""
    low_pa, _ = garage.settle(60.0)
    if random.random() < 0.5:
        out_pa = low_pa + PSI * random.uniform(1.0, 4.0)
        garage.low_switch_pa = out_pa, out_pa + PSI * random.uniform(16.0, 24.0)
    else:
        air_k = garage.loop._cool(1.0).air_off_k
        design = replace(garage.design.compressor, air_off_k=air_k + 3.0 + random.uniform(1.0, 3.0))
        garage.loop.control.design = design


def acts_at_random(random: np.random.Generator, garage: Garage, seconds: float, *, fan: bool) -> list[Act]:
    """Two to six things done to a car, 35 to 150 s apart."""
    electric = garage.design.compressor.kind is CompressorKind.ELECTRIC
    idle, acts, at_s, stage, line = garage.rpm, [], random.uniform(50.0, 100.0), 1, True
    rpm, blower, air_k = idle, 1.0, garage.around.ambient_k
    while at_s < seconds - 40.0:
        what = str(random.choice(["rpm", "fan", "line", "blower", "air"], p=[0.33, 0.35, 0.15, 0.1, 0.07]))
        if not line:
            line = True
            acts.append(Act(at_s, "line", 1.0))
        elif what == "rpm" and not electric:
            rpm = idle if rpm > idle + 100.0 else random.uniform(1_300.0, 2_800.0)
            acts.append(Act(at_s, "rpm", rpm))
        elif what == "fan" and fan:
            stage = 3 - stage
            acts.append(Act(at_s, "fan", stage))
        elif what == "line":
            line = False
            acts.append(Act(at_s, "line", 0.0))
        elif what == "blower":
            blower = random.uniform(0.5, 0.8) if blower == 1.0 else 1.0
            acts.append(Act(at_s, "blower", blower))
        elif what == "air":
            target_k = garage.around.ambient_k + random.uniform(-4.0, 4.0)
            takes_s = random.uniform(20.0, 60.0)
            parts = np.linspace(0.0, 1.0, 41)[1:]
            acts += [Act(at_s + takes_s * one, "air", air_k + one * (target_k - air_k)) for one in parts]
            air_k = target_k
        at_s += random.uniform(35.0, 150.0)
    return acts


def simulated(seed: int) -> Eventful:
    """One session; every fourth has a fan that the high side calls, with hysteresis."""
    random = np.random.default_rng(31_000 + seed)
    kind = str(KINDS[seed % len(KINDS)])
    garage = garage_at_random(random, kind)
    by_pressure = seed % 4 == 3 and kind in set(CompressorKind)
    seconds = random.uniform(420.0, 720.0)
    _, first_pa = garage.settle(150.0)
    if by_pressure:
        garage.fan.stage = 2
        _, second_pa = garage.settle(120.0)
        between = first_pa - second_pa
        garage.fan.thresholds_pa = (first_pa - 0.15 * between, second_pa + 0.2 * between)
    if kind not in set(CompressorKind):
        acts = [one for one in acts_at_random(random, garage, seconds, fan=False) if one.what == "blower"]
    else:
        acts = acts_at_random(random, garage, seconds, fan=not by_pressure)
    course = garage.run(acts, seconds, random.choice([0.0, 0.0, 0.004]))
    return kept(course, garage, acts, logger_at_random(random), seed)
