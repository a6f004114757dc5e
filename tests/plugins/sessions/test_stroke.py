"""How the compressor was working: the pattern behind the answer to engine speed, with its evidence.

The patterns are common practice, no source; they agree with the demo's simulated cars, see the benchmarks.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.records import CompressorKind, Conditions, Instruments, Stroke, StrokeFinding
from knowngood_sessions.core.finding.analysis import analyse

if TYPE_CHECKING:
    from tests.plugins.sessions.conftest import Kit, MadeSession

FIXED, ELECTRIC = CompressorKind.FIXED, CompressorKind.ELECTRIC
VARIABLE = (CompressorKind.INTERNAL_VARIABLE, CompressorKind.EXTERNAL_VARIABLE)


def told(made: MadeSession, kind: CompressorKind | None = None) -> StrokeFinding:
    found = analyse(made.recording, "R-134a", Conditions(fan_stage=1), Instruments(), compressor=kind)
    assert found.stroke is not None
    assert found.stroke.evidence
    return found.stroke


def revved(
    kit: type[Kit],
    low_psi: float,
    high_psi: float,
    *,
    idle: tuple[float, float] = (30.0, 150.0),
    seed: int = 0,
) -> MadeSession:
    """Idle, then 2,500 rpm, as gauges of class 1.6 with their own error show it."""
    turns = [
        kit.Turn(0.0, "start", kit.targets(*idle, 750.0)),
        kit.Turn(150.0, "engine", kit.targets(low_psi, high_psi, 2_500.0)),
    ]
    return kit.make(turns, 360.0, seed=seed, noise=kit.Noise(of_limit=0.1, offset_of_limit=1.0))


@pytest.mark.parametrize("kind", [None, FIXED, *VARIABLE])
def test_a_low_side_that_dives_is_full_stroke_whatever_the_kind(
    kit: type[Kit], kind: CompressorKind | None
) -> None:
    for seed in range(4):
        assert told(revved(kit, 15.0, 217.0, seed=seed), kind).stroke is Stroke.FULL
        assert told(revved(kit, 14.0, 151.5, seed=seed), kind).stroke is Stroke.FULL


@pytest.mark.parametrize("kind", [None, *VARIABLE])
def test_a_low_side_held_while_the_high_side_climbs_is_regulated(
    kit: type[Kit], kind: CompressorKind | None
) -> None:
    for seed in range(4):
        assert told(revved(kit, 30.4, 182.0, seed=seed), kind).stroke is Stroke.REGULATING


def test_a_low_side_that_rises_with_the_engine_is_regulated(kit: type[Kit]) -> None:
    found = told(revved(kit, 36.0, 142.0))
    assert found.stroke is Stroke.REGULATING
    assert "gives back more in stroke" in found.evidence[-1]


def test_two_level_sides_are_told_apart_by_the_compressor_on_record_alone(kit: type[Kit]) -> None:
    for seed in range(4):
        made = revved(kit, 29.8, 151.0, seed=seed)
        assert told(made).stroke is Stroke.CANNOT_TELL
        assert [told(made, kind).stroke for kind in VARIABLE] == [Stroke.REGULATING] * 2
        assert told(made, ELECTRIC).stroke is Stroke.ELECTRIC
        assert told(made, FIXED).stroke is Stroke.CANNOT_TELL


def test_a_low_side_that_dips_as_the_engine_speeds_up_tells_that_the_engine_drives_it(kit: type[Kit]) -> None:
    level = kit.targets(30.0, 150.0, 750.0)
    turns = [
        kit.Turn(0.0, "start", level),
        kit.Turn(150.0, "engine", {**level, "low": 22.0, "rpm": 2_500.0}, {"low": 4.0}),
        kit.Turn(158.0, "control", {**level, "rpm": 2_500.0}, {"low": 8.0}),
    ]
    found = told(kit.make(turns, 360.0, noise=kit.Noise(of_limit=0.05)))
    assert found.stroke is Stroke.REGULATING
    assert "dipped by" in found.evidence[-1]


def test_two_level_sides_close_together_are_minimum_stroke(kit: type[Kit]) -> None:
    found = told(revved(kit, 57.6, 95.0, idle=(58.0, 94.0)), CompressorKind.EXTERNAL_VARIABLE)
    assert found.stroke is Stroke.MINIMUM
    assert "only 1.5 times the low side" in found.evidence[-1]


def test_sides_that_stay_apart_with_the_engine_off_have_a_motor_of_their_own(kit: type[Kit]) -> None:
    made = kit.make([kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 0.0))], 200.0, noise=kit.Noise(rpm=0.0))
    found = told(made)
    assert found.stroke is Stroke.ELECTRIC
    assert "with the engine off" in found.evidence[0]


def test_what_moves_with_the_engine_contradicts_an_electric_compressor_on_record(kit: type[Kit]) -> None:
    found = told(revved(kit, 15.0, 217.0), ELECTRIC)
    assert found.stroke is Stroke.CANNOT_TELL
    assert found.evidence[-1] == "yet the compressor on record is electric"


def test_the_evidence_names_both_sides_their_size_and_the_windows(kit: type[Kit]) -> None:
    low, high, *_ = told(revved(kit, 15.0, 217.0)).evidence
    octaves = np.log2(2_500.0 / 750.0)
    falls = 100.0 * (1.0 - (29.7 / 44.7) ** (1.0 / octaves))
    percent = re.fullmatch(
        r"low side falls (\d+) % \(± \d %\) a doubling of engine speed, 750 to 2500 rpm, "
        r"windows at 0:00 and \d:\d\d",
        low,
    )
    assert percent is not None
    assert float(percent[1]) == pytest.approx(falls, abs=2.0)
    assert high.startswith("high side rises")


def test_one_engine_speed_alone_tells_nothing(kit: type[Kit]) -> None:
    found = told(kit.make([kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))], 200.0))
    assert found.stroke is Stroke.CANNOT_TELL
    assert "no pair of steady windows at two engine speeds" in found.evidence[0]


def test_a_session_without_a_steady_window_has_no_finding(kit: type[Kit]) -> None:
    turns = [kit.Turn(0.0, "start", kit.targets(84.0, 86.0, 750.0))]
    found = analyse(kit.make(turns, 200.0).recording, "R-134a", Conditions(), Instruments())
    assert found.stroke is None
