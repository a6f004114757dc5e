"""Whatever a logger's pace and whatever it leaves out, findings lie inside the session and are finite."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knowngood_refdata.records import Conditions, Findings, Instruments, Recording
from knowngood_sessions.core.finding.analysis import analyse

if TYPE_CHECKING:
    from tests.plugins.sessions.conftest import Kit, MadeSession, Turn

PACES_S = st.sampled_from([0.05, 0.5, 1.0, 2.0, 3.3, 5.0, 10.0, 17.0, 30.0, 60.0])
LEFT_OUT = st.sets(st.sampled_from(["low", "high", "suction", "liquid", "rpm"]), max_size=4)


def findings(made: MadeSession) -> Findings:
    return analyse(made.recording, "R-134a", Conditions(fan_stage=1), Instruments())


def eventful(kit: type[Kit]) -> list[Turn]:
    idle, forced = kit.targets(30.0, 150.0, 750.0), kit.targets(43.0, 101.0, 2_500.0)
    return [
        kit.Turn(0.0, "start", idle),
        kit.Turn(150.0, "engine", kit.targets(25.0, 190.0, 2_500.0)),
        kit.Turn(300.0, "fan", forced, {"high": 6.0}),
        kit.Turn(450.0, "off", kit.targets(84.0, 86.0, 750.0)),
        kit.Turn(600.0, "on", idle),
    ]


@settings(max_examples=60, deadline=None)
@given(
    pace_s=PACES_S,
    duration_s=st.floats(1.0, 900.0),
    left_out=LEFT_OUT,
    uneven=st.booleans(),
    missing=st.sampled_from([0.0, 0.1, 0.7]),
)
def test_findings_lie_inside_the_session_in_order_and_are_finite(
    kit: type[Kit], pace_s: float, duration_s: float, left_out: set[str], uneven: bool, missing: float
) -> None:
    made = kit.make(
        eventful(kit),
        duration_s,
        sampling_s=pace_s,
        without=sorted(left_out),
        uneven=uneven,
        missing=missing,
        noise=kit.Noise(hunting_psi=0.5),
    )
    found, half_s = findings(made), 0.5 * max(pace_s, 1.0)
    end_s = float(made.recording.time_s[-1]) + half_s
    parts = [(one.start_s, one.end_s) for one in found.windows]
    parts += [(one.start_s, one.end_s) for one in found.unsettled]
    for from_s, until_s in parts:
        assert -half_s <= from_s <= until_s <= end_s
    for before, after in pairwise(found.windows):
        assert before.end_s <= after.start_s
    for window in found.windows:
        for estimate in window.values.values():
            assert np.isfinite([estimate.value, estimate.standard_uncertainty]).all()
            assert estimate.standard_uncertainty > 0.0
    assert all(one.seconds >= 0.0 for one in found.recoveries)


@pytest.mark.parametrize("pace_s", [0.1, 1.0, 2.0, 5.0])
def test_a_slow_logger_sees_the_same_windows_as_a_quick_one(kit: type[Kit], pace_s: float) -> None:
    turns = [
        kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0)),
        kit.Turn(200.0, "engine", kit.targets(20.0, 190.0, 2_500.0)),
    ]
    found = findings(kit.make(turns, 500.0, sampling_s=pace_s))
    assert [one.label for one in found.windows] == ["idle", "2500 rpm"]
    # 40 psi fall to 2.5 % of 204.7 psi absolute after 25 s ln(40 / 5.1) = 51 s.
    assert found.windows[1].start_s == pytest.approx(251.0, abs=5.0 + 2.0 * pace_s)
    (response,) = found.responses
    assert (str(response.low), str(response.high)) == ("falls", "rises")


@pytest.mark.parametrize("pace_s", [45.0, 3_600.0, 1e7])
def test_samples_too_far_apart_are_no_steady_window_and_it_is_said(kit: type[Kit], pace_s: float) -> None:
    made = kit.make([kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))], 20.0)
    far = Recording(pace_s * made.recording.time_s, made.recording.channels)
    found = analyse(far, "R-134a", Conditions(), Instruments())
    assert found.windows == ()
    (one,) = found.unsettled
    assert one.reasons == (f"a sample every {pace_s:.0f} s is too few to tell whether it is steady",)
