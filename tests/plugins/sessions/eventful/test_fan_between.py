"""A fan that was let go between two steps up, and rises that go on for long: by the high side alone.

That a high side which is called down twice from the same pressure was let up in between is common practice,
no source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA
from knowngood_refdata.records import Channel, Recording, Role
from knowngood_sessions.core.channels.derive import derive
from knowngood_sessions.core.finding.fan import fan_steps
from knowngood_sessions.core.finding.grid import grids

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_sessions.core.finding.engine import EngineStep
    from knowngood_sessions.core.finding.fan_step import FanStep

TIME_S = np.arange(0.0, 360.0, 1.0)
TOP_PSI = 220.0


def steps_of(
    high_psi: NDArray[np.float64],
    low_psi: NDArray[np.float64] | None = None,
    engine: tuple[EngineStep, ...] = (),
    compressor_s: tuple[float, ...] = (),
) -> tuple[FanStep, ...]:
    random = np.random.default_rng(3)
    low = np.full(TIME_S.size, 32.0) if low_psi is None else low_psi
    channels = tuple(
        Channel(role.value, role, "psi", True, values + random.normal(0.0, 0.15, TIME_S.size))
        for role, values in ((Role.LOW_SIDE, low), (Role.HIGH_SIDE, high_psi))
    )
    derived = derive(Recording(TIME_S, channels), "R-134a", STANDARD_ATMOSPHERE_PA)
    (grid,) = grids(derived)
    return fan_steps(grid, engine, compressor_s)


def called_twice(again_psi: float = TOP_PSI, blunt_s: float = 12.0) -> NDArray[np.float64]:
    """A stage up at 100 s, a turn at 150 s too blunt for a kink, and a stage up at 230 s."""
    fallen = TOP_PSI - 45.0 * (1.0 - np.exp(-np.maximum(TIME_S - 100.0, 0.0) / 6.0))
    # A straight rise with a rounded beginning.
    since = TIME_S - 150.0
    risen = 0.5 * (since + np.sqrt(since**2 + blunt_s**2)) - 0.5 * (np.sqrt(50.0**2 + blunt_s**2) - 50.0)
    slope = (again_psi - (TOP_PSI - 45.0)) / float(risen[230])
    high = np.where(TIME_S < 100.0, TOP_PSI, fallen + slope * np.maximum(risen, 0.0))
    falls = 1.0 - np.exp(-np.maximum(TIME_S - 230.0, 0.0) / 6.0)
    return np.where(TIME_S < 230.0, high, float(high[230]) - 45.0 * falls)


def test_between_two_stages_up_from_the_same_pressure_the_fan_was_let_go() -> None:
    up, down, again = steps_of(called_twice())
    assert (up.up, down.up, again.up) == (True, False, True)
    assert down.at_s == pytest.approx(150.0, abs=8.0)


def test_between_two_stages_down_from_the_same_pressure_the_fan_came_on() -> None:
    down, up, again = steps_of(2.0 * 175.0 - called_twice() + 20.0)
    assert (down.up, up.up, again.up) == (False, True, False)
    assert up.at_s == pytest.approx(150.0, abs=8.0)


@pytest.mark.parametrize("again_psi", [245.0, 198.0])
def test_between_two_stages_up_from_other_pressures_nothing_is_told(again_psi: float) -> None:
    assert [one.up for one in steps_of(called_twice(again_psi))] == [True, True]


def test_with_the_compressor_off_line_in_between_nothing_is_told() -> None:
    assert [one.up for one in steps_of(called_twice(), compressor_s=(140.0,))] == [True, True]


def test_a_low_side_that_rises_along_is_a_load_and_no_fan() -> None:
    along = 32.0 + 12.0 * np.clip((TIME_S - 148.0) / 14.0, 0.0, 1.0)
    assert [one.up for one in steps_of(called_twice(), along)] == [True, True]


def test_a_condenser_that_lost_air_may_rise_for_long_if_it_sets_off_sharply() -> None:
    rises = 150.0 + 75.0 * (1.0 - np.exp(-np.maximum(TIME_S - 120.0, 0.0) / 27.0))
    (step,) = steps_of(rises)
    assert not step.up
    assert step.at_s == pytest.approx(120.0, abs=3.0)


def test_a_rise_that_goes_on_as_long_but_sets_off_gently_is_none() -> None:
    sharp = 1.0 - np.exp(-np.maximum(TIME_S - 115.0, 0.0) / 27.0)
    gentle = np.zeros(TIME_S.size)
    for i in range(1, TIME_S.size):
        gentle[i] = gentle[i - 1] + (sharp[i] - gentle[i - 1]) / 6.0
    assert steps_of(150.0 + 75.0 * gentle) == ()
