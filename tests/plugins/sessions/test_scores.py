"""Scores over many made-up sessions: what was found against what was made.

The scores are for the sessions made here; a vehicle may settle otherwise. Larger ones, over two other makers
of sessions, are in `tests/benchmarks/test_analysis_scores.py`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.records import Conditions, EventKind, Findings, Instruments
from knowngood_sessions.core.finding.analysis import analyse

if TYPE_CHECKING:
    from tests.plugins.sessions.conftest import Kit, MadeSession, Turn

FAN = {EventKind.FAN_STAGE_UP, EventKind.FAN_STAGE_DOWN}


def findings(made: MadeSession) -> Findings:
    return analyse(made.recording, "R-134a", Conditions(fan_stage=1), Instruments())


@dataclass
class Score:
    """Found against true, over many sessions."""

    true: dict[str, int] = field(default_factory=dict)
    hit: dict[str, int] = field(default_factory=dict)
    false: dict[str, int] = field(default_factory=dict)
    late_s: dict[str, list[float]] = field(default_factory=dict)
    overlaps: list[float] = field(default_factory=list)
    claimed: int = 0
    claimed_rightly: int = 0

    def add(self, made: MadeSession, found: Findings) -> None:
        kinds = {
            "engine": {EventKind.ENGINE_SPEED_STEP},
            "fan": FAN,
            "off": {EventKind.COMPRESSOR_OFF_LINE},
            "on": {EventKind.COMPRESSOR_ON_LINE},
        }
        for name, kind in kinds.items():
            times = [event.at_s for event in found.events if event.kind in kind]
            for moment in made.moments(name):
                self.true[name] = self.true.get(name, 0) + 1
                near = [one for one in times if abs(one - moment) < 8.0]
                if near:
                    self.hit[name] = self.hit.get(name, 0) + 1
                    self.late_s.setdefault(name, []).append(abs(near[0] - moment))
                    times.remove(near[0])
            self.false[name] = self.false.get(name, 0) + len(times)
        self._windows(made, found)

    def _windows(self, made: MadeSession, found: Findings) -> None:
        time_s, steady = made.recording.time_s, made.truly_steady()
        edges = [*(turn.at_s for turn in made.turns), float(time_s[-1])]
        for turn, first, last in zip(made.turns, edges[:-1], edges[1:], strict=True):
            part = (time_s >= first) & (time_s < last)
            if turn.kind == "off":
                steady[part] = False
            inside = time_s[part & steady]
            if inside.size and inside[-1] - inside[0] >= 35.0:
                self.overlaps.append(_best_overlap(found, float(inside[0]), float(inside[-1])))
        for window in found.windows:
            claimed = (time_s >= window.start_s) & (time_s <= window.end_s)
            self.claimed += int(claimed.sum())
            self.claimed_rightly += int((claimed & steady).sum())

    def recall(self, name: str) -> float:
        return self.hit.get(name, 0) / self.true[name]

    def precision(self, name: str) -> float:
        return self.hit.get(name, 0) / (self.hit.get(name, 0) + self.false[name])


def _best_overlap(found: Findings, first: float, last: float) -> float:
    """Intersection over union of a true steady stretch with the window that fits it best."""
    return max(
        (
            max(0.0, min(last, one.end_s) - max(first, one.start_s))
            / (max(last, one.end_s) - min(first, one.start_s))
            for one in found.windows
        ),
        default=0.0,
    )


def made_at_random(kit: type[Kit], seed: int) -> MadeSession:
    """Two to five turns: engine, fan, compressor off and on, change of load; with what disturbs a logger."""
    random = np.random.default_rng(9_000 + seed)
    low, high, idle_rpm = random.uniform(22, 45), random.uniform(120, 240), random.uniform(650, 950)
    low_exponent, high_exponent = ((-0.3, 0.22), (-0.01, 0.015), (-0.07, 0.07))[random.integers(3)]
    state = {"low": low, "high": high, "rpm": idle_rpm}
    fan_up, running = False, True
    turns: list[Turn] = [kit.Turn(0.0, "start", kit.targets(low, high, idle_rpm))]
    at_s = random.uniform(70, 240)

    def scale(side: str, factor: float) -> None:
        state[side] = (state[side] + 14.7) * factor - 14.7

    for _ in range(random.integers(2, 6)):
        kind = str(random.choice(["engine", "fan", "off", "load"], p=[0.4, 0.35, 0.15, 0.1]))
        constants = {"high": random.uniform(10, 45), "low": random.uniform(5, 25)}
        constants |= {"suction": random.uniform(8, 25), "liquid": random.uniform(12, 40)}
        if not running:
            kind, running = "on", True
        elif kind == "engine":
            to_rpm = idle_rpm if state["rpm"] > idle_rpm else random.uniform(1400, 3000)
            scale("low", (to_rpm / state["rpm"]) ** low_exponent)
            scale("high", (to_rpm / state["rpm"]) ** high_exponent)
            state["rpm"] = to_rpm
            constants["rpm"] = random.uniform(0.3, 1.5)
        elif kind == "fan":
            factor = random.uniform(0.75, 0.92)
            scale("high", 1.0 / factor if fan_up else factor)
            fan_up = not fan_up
            constants["high"] = random.uniform(2, 10)
        elif kind == "load":
            scale("high", float(random.choice([random.uniform(0.8, 0.9), random.uniform(1.1, 1.2)])))
            constants["high"] = random.uniform(25, 45)
        seen = dict(state)
        if kind == "off":
            rest, running = random.uniform(78, 95), False
            seen |= {"low": rest - 3.0, "high": rest + 3.0}
            constants |= {"low": random.uniform(6, 15), "high": random.uniform(15, 30)}
        turns.append(kit.Turn(at_s, kind, kit.targets(**seen), constants))
        at_s += random.uniform(70, 260)
    noise = kit.Noise(
        of_limit=float(random.choice([0.02, 0.1, 0.25])),
        memory=float(random.choice([0.0, 0.6])),
        hunting_psi=float(random.choice([0.0, 0.0, 1.0])),
        hunting_period_s=random.uniform(12, 40),
        drift_psi_a_minute=float(random.choice([0.0, 0.4])),
        offset_of_limit=1.0,
    )
    return kit.make(
        turns,
        at_s,
        sampling_s=float(random.choice([1.0, 0.2])),
        seed=seed,
        noise=noise,
        uneven=bool(random.integers(2)),
        missing=float(random.choice([0.0, 0.05])),
    )


@pytest.fixture(scope="module")
def score(kit: type[Kit]) -> Score:
    total = Score()
    for seed in range(120):
        made = made_at_random(kit, seed)
        total.add(made, findings(made))
    return total


def test_engine_speed_steps_are_all_found_and_none_made_up(score: Score) -> None:
    assert score.true["engine"] > 100
    assert (score.recall("engine"), score.precision("engine")) == (1.0, 1.0)
    assert np.percentile(score.late_s["engine"], 90) < 1.0


def test_fan_steps_that_no_channel_logs_are_found(score: Score) -> None:
    assert score.true["fan"] > 60
    assert score.recall("fan") >= 0.93
    assert score.precision("fan") >= 0.95
    assert np.percentile(score.late_s["fan"], 90) < 2.0


def test_the_compressor_off_line_and_on_line_is_found(score: Score) -> None:
    assert score.true["off"] > 30
    assert min(score.recall("off"), score.precision("off")) >= 0.95
    assert min(score.recall("on"), score.precision("on")) >= 0.95


def test_steady_windows_cover_what_is_truly_steady_and_claim_nothing_else(score: Score) -> None:
    overlaps = np.array(score.overlaps)
    assert overlaps.size > 250
    assert np.mean(overlaps >= 0.5) >= 0.95
    assert overlaps[overlaps >= 0.5].mean() >= 0.88
    assert score.claimed_rightly / score.claimed >= 0.97
