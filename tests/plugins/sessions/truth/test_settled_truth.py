"""The truth that findings are held against: what has settled, what rings, what still goes somewhere.

Steady means to have settled to within 2.5 % of where a channel ends.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from tests.plugins.sessions.truth.runs import SETTLED_SHARE, STEP_S, to_go

if TYPE_CHECKING:
    from numpy.typing import NDArray

PA = 3e5


def seconds(lasts_s: float) -> NDArray[np.float64]:
    return STEP_S * np.arange(round(lasts_s / STEP_S), dtype=np.float64)


def ringing(lasts_s: float, first: float, period_s: float, damped_s: float) -> NDArray[np.float64]:
    """A pressure that swings about its level: by which part at first, how often, and how soon it calms."""
    time_s = seconds(lasts_s)
    return PA * (1.0 + first * np.exp(-time_s / damped_s) * np.cos(2.0 * np.pi * time_s / period_s))


@pytest.mark.parametrize("lasts_s", [46.0, 50.0, 55.0, 61.0, 70.0])
def test_what_rings_and_stays_within_the_band_has_settled(lasts_s: float) -> None:
    assert to_go(ringing(lasts_s, 0.1, 30.0, 18.0)) < SETTLED_SHARE


@pytest.mark.parametrize("lasts_s", [62.0, 70.0, 77.0, 85.0])
def test_what_swings_on_by_half_a_percent_has_settled(lasts_s: float) -> None:
    assert to_go(ringing(lasts_s, 0.005, 30.0, 1e6)) < SETTLED_SHARE


@pytest.mark.parametrize("lasts_s", [62.0, 65.0, 70.0, 75.0, 80.0, 85.0])
@pytest.mark.parametrize("damped_s", [300.0, 1e6])
def test_what_turns_about_outside_the_band_has_not_settled(lasts_s: float, damped_s: float) -> None:
    assert to_go(ringing(lasts_s, 0.04, 30.0, damped_s)) > SETTLED_SHARE


@pytest.mark.parametrize("per_s", [0.0006, -0.0006, 0.002])
def test_what_still_drifts_has_not_settled(per_s: float) -> None:
    assert to_go(PA * (1.0 + per_s * seconds(80.0))) == float("inf")


def test_what_turned_about_once_and_drifts_since_has_not_settled() -> None:
    time_s = seconds(80.0)
    assert to_go(
        PA * (1.0 + 0.01 * np.minimum(time_s / 30.0, 1.0) - 0.001 * np.maximum(time_s - 30.0, 0.0))
    ) == (float("inf"))


@pytest.mark.parametrize("lasts_s", [100.0, 110.0, 120.0, 130.0])
def test_what_rings_on_a_drift_has_not_settled(lasts_s: float) -> None:
    drift = PA * -0.0004 * seconds(lasts_s)
    assert to_go(ringing(lasts_s, 0.01, 30.0, 1e6) + drift) > SETTLED_SHARE


@pytest.mark.parametrize(("constant_s", "left"), [(10.0, 0.01), (20.0, 0.05), (40.0, 0.1)])
def test_what_settles_as_a_lag_is_as_far_from_its_end_as_its_size_says(
    constant_s: float, left: float
) -> None:
    time_s = seconds(60.0)
    size = left * np.exp(time_s[-1] / constant_s)
    values = PA * (1.0 + size * np.exp(-time_s / constant_s))
    assert to_go(values) == pytest.approx(left / (1.0 + left), rel=0.02)
