"""The expected range of the next car's reading."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from knowngood_refdata.expected.prediction import expected_range, prediction_interval

# Hahn and Meeker, Statistical Intervals, chapter 3: five voltages (figures from memory; the computed
# interval 46.1170 to 54.0830 and the factor 3.041443 follow from the formula printed there).
VOLTAGES = [50.3, 48.3, 49.6, 50.4, 51.9]

# Davies and Goldsmith 1972, section 6.4: yields of six batches of dyestuff, five samples each.
DYESTUFF = {
    "A": [1545, 1440, 1440, 1520, 1580],
    "B": [1540, 1555, 1490, 1560, 1495],
    "C": [1595, 1550, 1605, 1510, 1560],
    "D": [1445, 1440, 1595, 1465, 1545],
    "E": [1595, 1630, 1515, 1635, 1625],
    "F": [1520, 1455, 1450, 1480, 1445],
}


def test_the_interval_for_one_future_voltage_is_the_published_one() -> None:
    interval = prediction_interval(VOLTAGES, 0.95)
    assert interval.low == pytest.approx(46.1170, abs=5e-5)
    assert interval.high == pytest.approx(54.0830, abs=5e-5)


def test_one_reading_a_car_gives_the_student_interval() -> None:
    expected = expected_range(VOLTAGES, range(5))
    assert expected is not None
    published = prediction_interval(VOLTAGES, 0.90)
    assert expected.outer.low == pytest.approx(published.low)
    assert expected.outer.high == pytest.approx(published.high)
    assert expected.degrees_of_freedom == 4


def test_the_variance_of_the_next_reading_follows_from_the_published_mean_squares() -> None:
    # Mean squares 11 271.5 between and 2451.25 within (published analysis of the Dyestuff data).
    values = [value for batch in DYESTUFF.values() for value in batch]
    batches = [name for name, batch in DYESTUFF.items() for _ in batch]
    expected = expected_range(values, batches)
    assert expected is not None
    between_batches = (11_271.5 - 2451.25) / 5
    variance = between_batches * (1 + 1 / 6) + 2451.25 * (1 + 1 / 30)
    half = stats.t(expected.degrees_of_freedom).ppf(0.95) * math.sqrt(variance)
    assert expected.centre == pytest.approx(1527.5)
    assert expected.outer.high - expected.centre == pytest.approx(half, rel=1e-9)
    assert 5 < expected.degrees_of_freedom < 29


@pytest.mark.parametrize(
    ("values", "cars"),
    [([1.0, 2.0, 3.0], [1, 2, 3]), ([1.0, 2.0, 3.0, 4.0], [1, 1, 2, 2]), ([], [])],
    ids=["three readings", "two cars", "none"],
)
def test_too_little_evidence_gives_no_range(values: list[float], cars: list[int]) -> None:
    assert expected_range(values, cars) is None


def test_many_readings_of_few_cars_do_not_feign_many_cars() -> None:
    one_each = expected_range([10.0, 14.0, 18.0, 12.0], [1, 2, 3, 4])
    ten_each = expected_range(
        [car + 0.1 * step for car in (10.0, 14.0, 18.0, 12.0) for step in range(10)],
        [car for car in range(4) for _ in range(10)],
    )
    assert one_each is not None
    assert ten_each is not None
    assert ten_each.degrees_of_freedom < 4
    width = ten_each.outer.high - ten_each.outer.low
    assert width > 0.9 * (one_each.outer.high - one_each.outer.low)


def test_a_reading_that_is_not_a_number_is_refused() -> None:
    with pytest.raises(ValueError, match="not a finite number"):
        expected_range([1.0, 2.0, 3.0, math.nan], [1, 2, 3, 4])


def test_ninety_percent_ranges_hold_ninety_percent_of_new_cars() -> None:
    random = np.random.default_rng(20240607)
    held = 0
    trials = 2000
    for _ in range(trials):
        cars = np.repeat(np.arange(6), random.integers(1, 4, 6))
        offsets = random.normal(0, 2.0, 7)
        values = 10 + offsets[cars] + random.normal(0, 1.0, len(cars))
        expected = expected_range(values.tolist(), cars.tolist())
        assert expected is not None
        held += 10 + offsets[6] + random.normal(0, 1.0) in expected.outer
    # Three standard errors of a proportion about 0.90; the approximation itself may cost one point.
    assert held / trials == pytest.approx(0.90, abs=3 * math.sqrt(0.9 * 0.1 / trials) + 0.01)


@given(
    st.lists(st.floats(-1e3, 1e3), min_size=4, max_size=30),
    st.floats(-1e3, 1e3),
    st.floats(1e-2, 1e2),
)
def test_a_change_of_unit_changes_the_range_alike(values: list[float], shift: float, scale: float) -> None:
    cars = [index % 3 for index in range(len(values))]
    plain = expected_range(values, cars)
    changed = expected_range([value * scale + shift for value in values], cars)
    assert plain is not None
    assert changed is not None
    tolerance = 1e-5 * (1 + abs(shift) + scale * 1e3)
    assert changed.outer.low == pytest.approx(plain.outer.low * scale + shift, abs=tolerance)
    assert changed.outer.high == pytest.approx(plain.outer.high * scale + shift, abs=tolerance)
    assert changed.outer.low <= changed.inner.low <= changed.centre <= changed.inner.high


def test_readings_that_agree_to_the_last_digit_give_a_range_of_no_width() -> None:
    expected = expected_range([3.0] * 6, [1, 1, 2, 2, 3, 3])
    assert expected is not None
    assert (expected.outer.low, expected.outer.high) == (3.0, 3.0)
