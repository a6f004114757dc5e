"""Truth of another make: each channel follows its targets with a lag of its own. No physics is in it."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from tests.plugins.sessions.conftest import Kit, Noise, Turn
from tests.plugins.sessions.truth.runs import STEP_S, Hunting, Run

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA
from knowngood_refdata.records import CompressorKind

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Counts = tuple[NDArray[np.intp], NDArray[np.bool_], NDArray[np.intp]]

PSI = Kit.PSI
SILENT = Noise(of_limit=0.0, line_k=0.0, rpm=0.0, digits=9)

# Exponents of the absolute pressures against engine speed, and who answers so.
ANSWERS = (
    (-0.30, 0.22, CompressorKind.FIXED),
    (-0.24, 0.16, CompressorKind.EXTERNAL_VARIABLE),
    (-0.01, 0.015, CompressorKind.INTERNAL_VARIABLE),
    (0.0, 0.01, CompressorKind.EXTERNAL_VARIABLE),
    (-0.015, 0.13, CompressorKind.INTERNAL_VARIABLE),
    (0.0, 0.0, CompressorKind.ELECTRIC),
    (-0.35, 0.01, CompressorKind.FIXED),
)


@cache
def lagged(seed: int) -> Run:
    """The session of a seed: two to six turns of engine, fan, compressor or load; now and then a ramp."""
    return Maker(np.random.default_rng(70_000 + seed)).run()


class Maker:
    """Draws a session turn by turn."""

    def __init__(self, random: np.random.Generator) -> None:
        self.random = random
        self.low, self.high = float(random.uniform(22, 45)), float(random.uniform(110, 250))
        self.idle_rpm = self.rpm = float(random.uniform(650, 950))
        low, high, self.kind = ANSWERS[random.integers(len(ANSWERS))]
        self.exponents = low, high
        self.superheat_k, self.subcooling_k = random.uniform(2, 14), random.uniform(1, 16)
        self.fan_up, self.running = False, True
        self.slow = float(np.exp(random.uniform(np.log(0.4), np.log(2.0))))

    def run(self) -> Run:
        """Draw the turns and follow them."""
        random = self.random
        turns = [Turn(0.0, "start", self._targets())]
        at_s = self._seconds()
        for _ in range(random.integers(1, 6)):
            turns.append(self._turn(at_s))
            at_s += self._seconds()
        clean = Kit.make(turns, at_s, sampling_s=STEP_S, noise=SILENT).clean
        time_s = STEP_S * np.arange(clean["low"].size, dtype=np.float64)
        ramp = float(random.choice([0.0, 0.0, 0.0, random.uniform(-0.8, 0.8)])) * PSI / 60.0
        channels = {
            "low_pa": clean["low"] * PSI + STANDARD_ATMOSPHERE_PA,
            "high_pa": clean["high"] * PSI + STANDARD_ATMOSPHERE_PA + ramp * time_s,
            "suction_line_k": clean["suction"],
            "liquid_line_k": clean["liquid"],
            "vent_k": 0.5 * clean["suction"] + 142.0,
            "ambient_k": np.full(time_s.size, 303.15),
            "engine_rpm": clean["rpm"],
        }
        counts = self._counts(turns, time_s)
        return Run("R-134a", self.kind, channels, *counts, hunting=self._hunting(at_s))

    def _turn(self, at_s: float) -> Turn:
        random = self.random
        kind = str(random.choice(["engine", "fan", "off", "load"], p=[0.45, 0.28, 0.12, 0.15]))
        constants = {"low": random.uniform(5, 25), "high": random.uniform(10, 45)}
        constants |= {"suction": random.uniform(8, 25), "liquid": random.uniform(10, 40)}
        constants = {name: self.slow * seconds for name, seconds in constants.items()}
        if not self.running:
            self.running = True
            return Turn(at_s, "on", self._targets(), constants)
        if kind == "engine":
            rpm = self.idle_rpm if self.rpm > self.idle_rpm else float(random.uniform(1_400, 3_000))
            for side, exponent in zip(("low", "high"), self.exponents, strict=True):
                self._scale(side, (rpm / self.rpm) ** exponent)
            self.rpm = rpm
            constants["rpm"] = random.uniform(0.3, 1.5)
        elif kind == "fan":
            factor = random.uniform(0.75, 0.92)
            self._scale("high", 1.0 / factor if self.fan_up else factor)
            self.fan_up = not self.fan_up
            constants["high"] = random.uniform(2, 10)
        elif kind == "load":
            self._scale("high", float(random.choice([random.uniform(0.8, 0.9), random.uniform(1.1, 1.2)])))
            self._scale("low", float(random.uniform(0.93, 1.07)))
        else:
            self.running = False
            rest = random.uniform(78, 95)
            constants |= {"low": random.uniform(6, 15), "high": random.uniform(15, 30)}
            resting = Kit.targets(rest - 1.0, rest + 1.0, self.rpm, 8.0, 1.0)
            return Turn(at_s, "off", resting, constants)
        return Turn(at_s, kind, self._targets(), constants)

    def _targets(self) -> dict[str, float]:
        return Kit.targets(self.low, self.high, self.rpm, self.superheat_k, self.subcooling_k)

    def _scale(self, side: str, factor: float) -> None:
        setattr(self, side, (getattr(self, side) + 14.7) * factor - 14.7)

    def _seconds(self) -> float:
        return float(np.exp(self.random.uniform(np.log(40.0), np.log(600.0))))

    def _hunting(self, duration_s: float) -> tuple[Hunting, ...]:
        if self.random.random() < 0.7:
            return ()
        low_pa = float(self.random.uniform(0.3, 0.8)) * PSI
        return (Hunting(0.0, duration_s, low_pa, float(self.random.uniform(10.0, 45.0))),)

    @staticmethod
    def _counts(turns: list[Turn], time_s: NDArray[np.float64]) -> Counts:
        """Fan stage, pumping, and the count of changes of load at each moment."""
        stage, load = np.ones(time_s.size, dtype=np.intp), np.zeros(time_s.size, dtype=np.intp)
        pumping = np.ones(time_s.size, dtype=bool)
        up = False
        for turn in turns:
            after = time_s >= turn.at_s
            if turn.kind == "fan":
                up = not up
                stage[after] = 2 if up else 1
            elif turn.kind in {"off", "on"}:
                pumping[after] = turn.kind == "on"
            elif turn.kind == "load":
                load[after] += 1
        return stage, pumping, load
