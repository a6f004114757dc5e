"""Means and slopes of samples that hang together, against published values and against simulation."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import lfilter
from scipy.stats import linregress

from knowngood_sessions.core.finding.grid import noise_sigma, without_spikes
from knowngood_sessions.core.finding.trend import lag_one_autocorrelation, settled_mean, trend

# NIST Statistical Reference Datasets, univariate summary statistics, dataset Mavro: filter transmittance,
# 50 readings at 10 a second, in units of 0.00001 above 2; certified values as published there.
# fmt: off
MAVRO = 2.0 + 1e-5 * np.array([
    180, 170, 180, 190, 180, 170, 150, 140, 150, 150,
    170, 180, 180, 190, 190, 210, 200, 160, 140, 130,
    130, 150, 150, 160, 150, 140, 130, 140, 150, 140,
    150, 160, 150, 160, 190, 200, 200, 210, 220, 230,
    240, 250, 270, 260, 260, 260, 270, 260, 250, 240,
], dtype=float)
# fmt: on
MAVRO_MEAN = 2.00185600000000
MAVRO_DEVIATION = 0.000429123454003053
MAVRO_LAG_ONE = 0.937989183438248


def test_lag_one_autocorrelation_agrees_with_the_certified_value_of_a_drifting_instrument() -> None:
    assert lag_one_autocorrelation(MAVRO) == pytest.approx(MAVRO_LAG_ONE, abs=1e-10)


def test_lag_one_autocorrelation_agrees_with_the_certified_value_of_an_alternating_series() -> None:
    # NIST StRD dataset NumAcc2: 1.2, then 1.1 and 1.3 in turn, 1001 values; certified r = -0.999.
    series = np.array([1.2, *[1.1, 1.3] * 500])
    assert lag_one_autocorrelation(series) == pytest.approx(-0.999, abs=1e-12)


def test_the_error_of_a_mean_is_widened_by_what_the_samples_have_in_common() -> None:
    mean, error = settled_mean(MAVRO)
    independent = 50 * (1.0 - MAVRO_LAG_ONE) / (1.0 + MAVRO_LAG_ONE)
    assert mean == pytest.approx(MAVRO_MEAN, rel=1e-12)
    assert error == pytest.approx(MAVRO_DEVIATION / np.sqrt(independent), rel=1e-6)
    assert error > 5.0 * MAVRO_DEVIATION / np.sqrt(50)


@pytest.mark.parametrize("memory", [0.0, 0.6, 0.9])
def test_the_error_of_a_mean_is_what_repeated_means_scatter_by(memory: float) -> None:
    random = np.random.default_rng(5)
    series = lfilter([1.0], [1.0, -memory], random.normal(size=(600, 600)), axis=1)[:, 200:]
    means, errors = np.array([settled_mean(one) for one in series]).T
    assert errors.mean() == pytest.approx(means.std(ddof=1), rel=0.15)


def test_missing_samples_are_left_out_of_a_mean() -> None:
    assert settled_mean(np.array([1.0, np.nan, 3.0]))[0] == 2.0
    assert settled_mean(np.array([np.nan, 4.0])) == (4.0, 0.0)
    assert np.isnan(settled_mean(np.array([np.nan]))[0])


def test_slope_and_error_agree_with_ordinary_regression_where_samples_are_independent() -> None:
    random = np.random.default_rng(1)
    seconds = 2.0 * np.arange(400)
    values = 3.0 + 0.01 * seconds + random.normal(size=400)
    mine, theirs = trend(values, 2.0), linregress(seconds, values)
    assert mine.slope == pytest.approx(theirs.slope, rel=1e-9)
    assert mine.standard_error == pytest.approx(theirs.stderr, rel=0.1)


def test_noise_is_seen_through_a_step_and_a_drift() -> None:
    random = np.random.default_rng(2)
    values = random.normal(0.0, 0.5, 2_000) + np.linspace(0.0, 40.0, 2_000)
    values[1_000:] += 100.0
    assert noise_sigma(values) == pytest.approx(0.5, rel=0.08)


def test_a_lost_byte_is_mended_and_nothing_else_is_touched() -> None:
    random = np.random.default_rng(3)
    clean = np.concatenate([random.normal(150.0, 0.5, 100), random.normal(120.0, 0.5, 100)])
    seen = clean.copy()
    seen[[40, 150]] = 0.0, 999.0
    mended = without_spikes(seen)
    assert np.abs(mended - clean).max() < 3.0
    assert np.flatnonzero(mended != seen).tolist() == [40, 150]
