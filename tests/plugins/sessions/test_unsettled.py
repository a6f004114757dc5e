"""Where a session is not steady it says why, in figures that can be read in any unit."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Conditions, Findings, Instruments
from knowngood_sessions.core.finding.analysis import analyse
from knowngood_sessions.core.finding.figures import (
    plainly,
    pressure_figure,
    said,
    speed_figure,
    temperature_figure,
)

if TYPE_CHECKING:
    from tests.plugins.sessions.conftest import Kit, MadeSession


def findings(made: MadeSession) -> Findings:
    return analyse(made.recording, "R-134a", Conditions(), Instruments())


def reasons(found: Findings) -> list[str]:
    return [plainly(reason) for one in found.unsettled for reason in one.reasons]


def engine_and_back(kit: type[Kit], at_speed_s: float) -> MadeSession:
    turns = [
        kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0)),
        kit.Turn(120.0, "engine", kit.targets(20.0, 200.0, 2_500.0), {"high": 30.0}),
        kit.Turn(120.0 + at_speed_s, "engine", kit.targets(30.0, 150.0, 750.0)),
    ]
    return kit.make(turns, 360.0 + at_speed_s)


def test_windows_and_what_is_not_steady_cover_the_session_without_overlap(kit: type[Kit]) -> None:
    for at_speed_s in (20.0, 60.0, 200.0):
        found = findings(engine_and_back(kit, at_speed_s))
        parts = [(one.start_s, one.end_s) for one in found.windows]
        parts = sorted([*parts, *((one.start_s, one.end_s) for one in found.unsettled)])
        assert parts[0][0] == pytest.approx(0.0, abs=5.0)
        assert parts[-1][1] == pytest.approx(360.0 + at_speed_s, abs=5.0)
        for (_, end_s), (start_s, _) in pairwise(parts):
            # What is shorter than five seconds beside a disturbance is not worth a word.
            assert -1e-9 <= start_s - end_s < 5.0
        assert all(one.reasons for one in found.unsettled)


def test_before_a_window_each_channel_on_its_way_is_named_with_how_far_it_was_off(kit: type[Kit]) -> None:
    found = findings(engine_and_back(kit, 200.0))
    before = next(one for one in found.unsettled if one.start_s < 150.0 < one.end_s)
    told = {reason.split(" is up to")[0]: reason for reason in map(plainly, before.reasons)}
    assert {"low side", "high side"} <= told.keys()
    high_kpa = float(re.findall(r"([\d.]+) kPa below", told["high side"])[0])
    assert high_kpa == pytest.approx(50.0 * kit.PSI / 1e3, rel=0.1)
    # 50 psi fall below 2.5 % of 214.7 psi after 30 s ln(50 / 5.4): the high side comes last, and first here.
    assert before.reasons[0].startswith("high side")


def test_a_side_that_goes_on_is_told_with_its_rate(kit: type[Kit]) -> None:
    noise = kit.Noise(of_limit=0.05, drift_psi_a_minute=-12.0)
    turns = [kit.Turn(0.0, "start", kit.targets(30.0, 220.0, 750.0))]
    (one,) = findings(kit.make(turns, 300.0, noise=noise)).unsettled
    (reason,) = map(plainly, one.reasons)
    assert reason.startswith("high side still falls")
    assert float(re.findall(r"([\d.]+) kPa a minute", reason)[0]) == pytest.approx(12.0 * 6.895, rel=0.05)


def test_a_side_that_swings_too_far_is_told_with_its_swing(kit: type[Kit]) -> None:
    turns = [kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))]
    noise = kit.Noise(of_limit=0.05, hunting_psi=4.0, hunting_period_s=30.0)
    found = findings(kit.make(turns, 300.0, noise=noise))
    assert found.windows == ()
    (reason,) = (one for one in reasons(found) if one.startswith("low side swings"))
    assert float(re.findall(r"by ([\d.]+) kPa", reason)[0]) == pytest.approx(4.0 * 6.895, rel=0.1)


def test_what_is_too_short_between_two_disturbances_says_so(kit: type[Kit]) -> None:
    told = reasons(findings(engine_and_back(kit, 15.0)))
    assert any(re.fullmatch(r"only \d+ s until something happens again", one) for one in told)


def test_what_is_too_short_at_the_end_says_so(kit: type[Kit]) -> None:
    turns = [
        kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0)),
        kit.Turn(150.0, "engine", kit.targets(20.0, 200.0, 2_500.0)),
    ]
    assert reasons(findings(kit.make(turns, 165.0)))[-1] == "only 14 s to the end"


def test_a_system_at_rest_says_that_nothing_is_at_work(kit: type[Kit]) -> None:
    turns = [kit.Turn(0.0, "start", kit.targets(84.0, 86.0, 750.0))]
    assert reasons(findings(kit.make(turns, 200.0))) == ["the sides are equal: nothing is at work"]


def test_a_silent_channel_is_told_with_how_long(kit: type[Kit]) -> None:
    made = kit.make([kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))], 300.0)
    made.recording.channels[1].values[100:140] = np.nan
    assert reasons(findings(made)) == ["a channel has no samples for 40 s"]


@given(st.floats(-1e7, 1e7), st.floats(-400.0, 400.0), st.floats(-9_000.0, 9_000.0))
def test_a_figure_is_read_back_as_it_was_written(pascals: float, kelvins: float, rpm: float) -> None:
    sentence = f"a {pressure_figure(pascals)} b {temperature_figure(kelvins)} c {speed_figure(rpm)}"
    read: list[tuple[float, Kind]] = []

    def kept(value: float, kind: Kind) -> str:
        read.append((value, kind))
        return ""

    said(sentence, kept)
    assert [kind for _, kind in read] == [Kind.PRESSURE, Kind.TEMPERATURE_DIFFERENCE, Kind.ROTATION]
    for (value, _), true, digit in zip(read, (pascals, kelvins, rpm), (100.0, 0.1, 1.0), strict=True):
        assert value == pytest.approx(true, abs=0.51 * digit)


def test_braces_of_a_persons_own_text_are_left_alone() -> None:
    assert plainly("note {see sheet 3 kPa}") == "note {see sheet 3 kPa}"
