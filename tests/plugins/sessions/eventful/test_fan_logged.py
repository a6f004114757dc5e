"""A fan whose command is logged: its steps are the log's, whatever the high side looks like."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.records import Channel, Conditions, EventKind, Instruments, Recording, Role
from knowngood_sessions.core.finding.analysis import analyse
from knowngood_sessions.core.finding.fan_logged import logged_fan_steps

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from tests.plugins.sessions.conftest import Kit

TIME_S = np.arange(0.0, 300.0, 0.5)


def logged(values: NDArray[np.float64]) -> Recording:
    return Recording(TIME_S, (Channel("fan", Role.FAN_COMMAND, "", False, values),))


def stages(*changes: tuple[float, float]) -> NDArray[np.float64]:
    values = np.zeros(TIME_S.size)
    for at_s, stage in changes:
        values[at_s <= TIME_S] = stage
    return values


@pytest.mark.parametrize("full", [1.0, 2.0, 100.0])
def test_each_change_of_the_command_is_a_step(full: float) -> None:
    steps = logged_fan_steps(logged(stages((60.0, 0.5 * full), (120.0, full), (200.0, 0.0))))
    assert steps is not None
    assert [(step.up, step.logged) for step in steps] == [(True, True), (True, True), (False, True)]
    assert [step.at_s for step in steps] == pytest.approx([60.0, 120.0, 200.0], abs=0.5)


def test_a_relay_that_bounces_and_a_lost_sample_make_no_step() -> None:
    values = stages((60.0, 1.0))
    values[[119, 122]] = 0.0
    values[300:320] = np.nan
    values[400] = 1.0 - values[400]
    steps = logged_fan_steps(logged(values))
    assert steps is not None
    assert [step.at_s for step in steps] == pytest.approx([60.0], abs=1.5)


def test_without_a_channel_with_one_level_or_with_any_level_nothing_is_logged() -> None:
    assert logged_fan_steps(Recording(TIME_S, ())) is None
    assert logged_fan_steps(logged(np.ones(TIME_S.size))) is None
    assert logged_fan_steps(logged(50.0 + 40.0 * np.sin(TIME_S / 20.0))) is None
    assert logged_fan_steps(logged(np.full(TIME_S.size, np.nan))) is None


def test_the_analysis_takes_the_logged_step_and_not_the_kink_of_the_high_side(kit: type[Kit]) -> None:
    turns = [
        kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0)),
        kit.Turn(120.0, "fan", kit.targets(30.0, 120.0, 750.0), {"high": 5.0}),
    ]
    recording = kit.make(turns, 300.0, sampling_s=0.5).recording
    command = Channel("fan", Role.FAN_COMMAND, "", False, stages((180.0, 1.0)))
    with_command = replace(recording, channels=(*recording.channels, command))
    (event,) = analyse(with_command, "R-134a", Conditions(), Instruments()).events
    assert event.kind is EventKind.FAN_STAGE_UP
    assert event.at_s == pytest.approx(180.0, abs=0.5)
    assert event.evidence is not None
    assert event.evidence.channels == (Role.FAN_COMMAND,)
    (event,) = analyse(recording, "R-134a", Conditions(), Instruments()).events
    assert event.at_s == pytest.approx(120.0, abs=3.0)
