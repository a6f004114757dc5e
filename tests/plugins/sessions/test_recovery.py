"""How long the readings take to settle after a disturbance."""

from __future__ import annotations

from math import log
from typing import TYPE_CHECKING

import pytest

from knowngood_refdata.records import Conditions, Event, EventKind, Instruments, Recovery, Role
from knowngood_sessions.core.finding.analysis import analyse
from knowngood_sessions.core.finding.recovery import recoveries
from knowngood_sessions.core.finding.steady import Stretch

if TYPE_CHECKING:
    from tests.plugins.sessions.conftest import Kit

STEP = Event(EventKind.ENGINE_SPEED_STEP, 100.0, "engine from 750 to 2500 rpm")


@pytest.mark.parametrize("constant_s", [20.0, 35.0, 50.0])
def test_the_recovery_is_the_time_to_come_within_the_band(kit: type[Kit], constant_s: float) -> None:
    turns = [
        kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0)),
        kit.Turn(120.0, "engine", kit.targets(30.0, 200.0, 2_500.0), {"high": constant_s, "liquid": 5.0}),
    ]
    for seed in range(4):
        made = kit.make(turns, 480.0, seed=seed)
        (found,) = analyse(made.recording, "R-134a", Conditions(), Instruments()).recoveries
        assert (found.after, found.slowest) == (EventKind.ENGINE_SPEED_STEP, Role.HIGH_SIDE)
        # 50 psi fall to 2.5 % of 214.7 psi absolute.
        assert found.seconds == pytest.approx(constant_s * log(50.0 / 5.37), abs=8.0)


def test_the_last_disturbance_before_a_window_counts() -> None:
    fan = Event(EventKind.FAN_STAGE_UP, 130.0, "fan switched to stage 2")
    found = recoveries([Stretch(0.0, 95.0), Stretch(160.0, 300.0, Role.LOW_SIDE)], [STEP, fan])
    assert found == (Recovery(EventKind.FAN_STAGE_UP, 130.0, 30.0, Role.LOW_SIDE),)


def test_cycling_disturbs_to_its_end() -> None:
    cycling = Event(EventKind.CLUTCH_CYCLING, 50.0, "", until_s=140.0)
    (found,) = recoveries([Stretch(160.0, 300.0)], [cycling])
    assert (found.at_s, found.seconds) == (140.0, 20.0)


def test_a_window_after_something_that_was_not_seen_has_no_recovery() -> None:
    stretches = [Stretch(0.0, 95.0), Stretch(130.0, 200.0), Stretch(240.0, 300.0)]
    assert [one.at_s for one in recoveries(stretches, [STEP])] == [100.0]


def test_a_compressor_off_line_or_a_note_is_nothing_to_settle_after() -> None:
    events = [Event(EventKind.COMPRESSOR_OFF_LINE, 100.0, ""), Event(EventKind.NOTE, 110.0, "door opened")]
    assert recoveries([Stretch(150.0, 300.0)], events) == ()
