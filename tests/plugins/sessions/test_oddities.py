"""Dead channels, drop-outs and lone spikes are told; healthy channels are not talked about."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.records import Channel, Recording, Role
from knowngood_sessions.core.mapping.oddities import oddities

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from tests.plugins.sessions.conftest import Kit

COUNT = 600


def told(values: NDArray[np.float64], role: Role = Role.HIGH_SIDE, unit: str = "psi") -> str:
    channel = Channel("P high", role, unit, True, values)
    return " ".join(one.text for one in oddities(Recording(np.arange(float(values.size)), (channel,))))


@pytest.fixture
def healthy() -> NDArray[np.float64]:
    return np.round(150.0 + np.random.default_rng(3).normal(0.0, 0.6, COUNT), 1)


def test_a_healthy_channel_is_not_talked_about(healthy: NDArray[np.float64]) -> None:
    assert told(healthy) == ""


def test_a_session_with_fan_and_engine_steps_is_not_talked_about(kit: type[Kit]) -> None:
    idle = kit.targets(30.0, 150.0, 750.0)
    turns = [
        kit.Turn(0.0, "start", idle),
        kit.Turn(200.0, "engine", {**idle, "low": 28.0, "high": 165.0, "rpm": 2_500.0}),
        kit.Turn(230.0, "fan", kit.targets(43.0, 101.0, 2_500.0), {"high": 4.0}),
    ]
    for seed in range(8):
        assert oddities(kit.make(turns, 500.0, seed=seed).recording) == ()


def test_a_channel_that_never_changes_is_told() -> None:
    assert "reads 0 throughout" in told(np.zeros(COUNT))


@pytest.mark.parametrize("rail", [500.0, -14.7, 0.0])
def test_a_stretch_at_the_end_of_the_scale_is_told_with_its_time(
    healthy: NDArray[np.float64], rail: float
) -> None:
    healthy[100:140] = rail
    text = told(healthy)
    assert f"jumps to {rail:g} and stays there once, first at 100 s and for up to 39 s" in text


def test_a_drop_out_that_comes_and_goes_is_counted(healthy: NDArray[np.float64]) -> None:
    for first in (50, 200, 400):
        healthy[first : first + 5] = 0.0
    assert "3 times" in told(healthy)


def test_a_lone_row_far_off_is_told_and_kept(healthy: NDArray[np.float64]) -> None:
    healthy[[70, 300]] = 15.0
    assert "2 single samples stand far off its neighbours, first at 70 s (15 after" in told(healthy)


def test_a_level_reached_by_a_step_is_no_drop_out() -> None:
    values = np.concatenate([np.full(100, 8.0), np.linspace(8.0, 30.0, 12), np.full(200, 30.0)])
    assert told(values, Role.LIQUID_LINE, "°C") == ""


def test_a_coarse_channel_is_not_called_spiky() -> None:
    values = np.repeat([10.0, 10.3, 10.0, 10.3], 150)
    values[77] = 10.3
    assert told(values, Role.VENT, "°C") == ""
