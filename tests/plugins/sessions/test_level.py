"""The settled value of a stretch, how sure it is, and how it behaved."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.signal import lfilter

from knowngood_refdata.records import Conditions, Instruments, Quantity, SteadyWindow
from knowngood_sessions.core.finding.analysis import analyse
from knowngood_sessions.core.finding.level import levels
from knowngood_sessions.core.finding.pile import piles
from knowngood_sessions.core.finding.trend import effective_count, lag_one_autocorrelation, trend

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from tests.plugins.sessions.conftest import Kit, Noise

LOW, HIGH = Quantity.LOW_SIDE, Quantity.HIGH_SIDE


def ends(*spans: tuple[int, int]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    first, last = np.array(spans, dtype=np.intp).T
    return first, last


def the_windows(kit: type[Kit], noise: Noise, seed: int = 0) -> tuple[SteadyWindow, ...]:
    turns = [kit.Turn(0.0, "start", kit.targets(30.0, 150.0, 750.0))]
    made = kit.make(turns, 400.0, noise=noise, seed=seed)
    return analyse(made.recording, "R-134a", Conditions(), Instruments()).windows


def the_window(kit: type[Kit], noise: Noise, seed: int = 0) -> SteadyWindow:
    (window,) = the_windows(kit, noise, seed)
    return window


@given(st.lists(st.tuples(st.integers(0, 180), st.integers(1, 119)), min_size=1, max_size=12))
def test_stretches_laid_in_piles_are_each_there_once_and_unchanged(spans: list[tuple[int, int]]) -> None:
    series = np.random.default_rng(1).normal(size=300)
    first, counts = np.array(spans, dtype=np.intp).T
    seen: list[int] = []
    for rows, pile in piles(series, first, counts):
        for row, values, held in zip(rows.tolist(), pile.values, pile.held, strict=True):
            assert np.array_equal(values[held], series[first[row] : first[row] + counts[row]])
            assert not values[~held].any()
            seen.append(row)
    assert sorted(seen) == list(range(len(spans)))


def test_many_stretches_at_once_have_the_drift_and_the_memory_of_each_alone() -> None:
    series = lfilter([1.0], [1.0, -0.6], np.random.default_rng(2).normal(size=900)) + 0.01 * np.arange(900)
    first, last = ends((0, 199), (150, 211), (300, 899))
    found = levels(series, first, last)
    for i, (a, b) in enumerate(zip(first.tolist(), last.tolist(), strict=True)):
        line = trend(series[a : b + 1], 1.0)
        assert found.drift[i] == pytest.approx(line.slope, rel=1e-9)
        assert found.drift_error[i] == pytest.approx(line.standard_error, rel=1e-6)
        place = np.arange(b - a + 1)
        memory = lag_one_autocorrelation(series[a : b + 1] - line.slope * place)
        assert found.independent[i] == pytest.approx(effective_count(b - a + 1, memory), rel=1e-6)


def test_the_rest_of_the_way_in_does_not_pull_the_level() -> None:
    random, seconds = np.random.default_rng(3), np.arange(240.0)
    off = []
    for _ in range(100):
        series = 100.0 + 3.0 * np.exp(-seconds / 20.0) + random.normal(0.0, 0.4, seconds.size)
        found = levels(series, *ends((0, 239)))
        off.append(float(found.mean[0]) - 100.0)
        assert abs(off[-1]) < abs(series.mean() - 100.0) + 3.0 * found.scatter[0]
    # The plain mean is 0.25 off.
    assert abs(np.mean(off)) < 0.06


@pytest.mark.parametrize("memory", [0.0, 0.6, 0.85])
def test_the_error_of_a_level_covers_the_truth_however_much_the_samples_hang_together(memory: float) -> None:
    random = np.random.default_rng(4)
    white = random.normal(size=(400, 400))
    series = lfilter([1.0], [1.0, -memory], white, axis=1)[:, 100:].reshape(-1)
    first = 300 * np.arange(400)
    found = levels(series, first, first + 299)
    held = np.abs(found.mean) < 1.96 * found.scatter
    assert 0.88 < held.mean() < 0.98


@pytest.mark.parametrize("period_s", [12.0, 20.0, 36.0, 60.0])
def test_hunting_is_told_with_its_amplitude_and_period(kit: type[Kit], period_s: float) -> None:
    noise = kit.Noise(of_limit=0.05, hunting_psi=1.0, hunting_period_s=period_s)
    behaviour = the_window(kit, noise).behaviour
    for quantity, psi in ((LOW, 1.0), (HIGH, 0.5)):
        assert behaviour[quantity].period_s == pytest.approx(period_s, rel=0.03)
        assert behaviour[quantity].amplitude == pytest.approx(psi * kit.PSI, rel=0.25)


@pytest.mark.parametrize("memory", [0.0, 0.6, 0.85])
def test_noise_alone_is_no_hunting(kit: type[Kit], memory: float) -> None:
    noise = kit.Noise(of_limit=0.2, memory=memory)
    windows = [one for seed in range(20) for one in the_windows(kit, noise, seed)]
    assert len(windows) >= 20
    assert {one.behaviour[side].amplitude for one in windows for side in (LOW, HIGH)} == {None}


def test_a_drift_is_told_with_its_error_and_a_spread_is_that_of_the_samples(kit: type[Kit]) -> None:
    noise = kit.Noise(of_limit=0.1, drift_psi_a_minute=0.4)
    for seed in range(5):
        behaviour = the_window(kit, noise, seed).behaviour[HIGH]
        drift = behaviour.drift_per_s
        assert abs(60.0 * drift.value / kit.PSI - 0.4) < 3.0 * 60.0 * drift.standard_uncertainty / kit.PSI
        # A tenth of the limit of error of class 1.6 of 35 bar.
        assert behaviour.spread == pytest.approx(0.1 * 0.016 * 35e5, rel=0.2)
        assert behaviour.independent > 200


def test_samples_that_hang_together_are_worth_fewer(kit: type[Kit]) -> None:
    free, bound = (the_window(kit, kit.Noise(memory=memory)) for memory in (0.0, 0.85))
    assert bound.behaviour[LOW].independent < 0.25 * free.behaviour[LOW].independent


def test_a_stretch_with_a_missing_value_has_no_level() -> None:
    series = np.ones(100)
    series[50] = np.nan
    found = levels(series, *ends((0, 40), (30, 80)))
    assert np.isnan(found.mean).tolist() == [False, True]
