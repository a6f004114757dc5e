"""The range in which the next reading of another healthy car should fall.

Several readings of one car are not independent evidence about other cars. The readings are therefore
taken as a one-way random-effects sample (car, reading within car), and the prediction variance is a
combination of the two mean squares with degrees of freedom after Satterthwaite (Biometrics Bulletin 2
(1946) 110). With one reading a car it becomes the classical Student interval of Hahn and Meeker,
Statistical Intervals, chapter 3.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import stdtrit

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence

READINGS_NEEDED = 4
CARS_NEEDED = 3

_ROUNDING = 1e-9
"""Mean squares that differ by less are equal: rounding must not choose between two ways to a range."""


@dataclass(frozen=True, slots=True)
class Interval:
    """A closed interval in the unit of the readings it comes from."""

    low: float
    high: float

    def __contains__(self, value: float) -> bool:
        return self.low <= value <= self.high


@dataclass(frozen=True, slots=True)
class ExpectedRange:
    """What the next reading of another car should be: inner 50 %, outer 90 %, and what stands behind."""

    centre: float
    inner: Interval
    outer: Interval
    readings: int
    cars: int
    degrees_of_freedom: float


@dataclass(frozen=True, slots=True)
class _Spread:
    """Centre, variance of the next reading about it, and the degrees of freedom of that variance."""

    centre: float
    variance: float
    degrees_of_freedom: float


def expected_range(values: Sequence[float], cars: Sequence[Hashable]) -> ExpectedRange | None:
    """The expected range for one quantity.

    Parameters
    ----------
    values
        Known-good readings of one quantity, shape (n,), any one unit; all finite.
    cars
        For each reading the car it was taken on, shape (n,).

    Returns
    -------
    ExpectedRange or None
        None when fewer than `READINGS_NEEDED` readings or `CARS_NEEDED` cars stand behind it.

    Raises
    ------
    ValueError
        When the two sequences differ in length or a value is not finite.
    """
    if len(values) != len(cars):
        raise ValueError(f"{len(values)} readings but {len(cars)} cars named")
    readings = np.asarray(values, dtype=np.float64)
    if not np.isfinite(readings).all():
        raise ValueError("a reading is not a finite number")
    number_of_cars = len(set(cars))
    if len(readings) < READINGS_NEEDED or number_of_cars < CARS_NEEDED:
        return None
    spread = _spread(readings, cars)
    return ExpectedRange(
        centre=spread.centre,
        inner=_interval(spread, 0.50),
        outer=_interval(spread, 0.90),
        readings=len(readings),
        cars=number_of_cars,
        degrees_of_freedom=spread.degrees_of_freedom,
    )


def prediction_interval(values: Sequence[float], coverage: float) -> Interval:
    """Student interval for one future reading, each value from a car of its own.

    mean ± t((1 + coverage)/2; n - 1) s √(1 + 1/n). Hahn and Meeker, Statistical Intervals, chapter 3:
    five voltages with mean 50.10 and s 1.31 give 46.1 to 54.1 at 95 %.

    Raises
    ------
    ValueError
        With fewer than two values.

    >>> interval = prediction_interval([50.3, 48.3, 49.6, 50.4, 51.9], 0.95)
    >>> round(interval.low, 1), round(interval.high, 1)
    (46.1, 54.1)
    """
    if len(values) < 2:
        raise ValueError("a prediction interval needs at least two readings")
    return _interval(_pooled(np.asarray(values, dtype=np.float64)), coverage)


def _interval(spread: _Spread, coverage: float) -> Interval:
    half = float(stdtrit(spread.degrees_of_freedom, 0.5 + coverage / 2.0) * np.sqrt(spread.variance))
    return Interval(spread.centre - half, spread.centre + half)


def _pooled(readings: np.ndarray[tuple[int], np.dtype[np.float64]]) -> _Spread:
    n = len(readings)
    return _Spread(float(readings.mean()), float(readings.var(ddof=1) * (1.0 + 1.0 / n)), n - 1.0)


def _spread(readings: np.ndarray[tuple[int], np.dtype[np.float64]], cars: Sequence[Hashable]) -> _Spread:
    order = {car: index for index, car in enumerate(dict.fromkeys(cars))}
    car = np.array([order[name] for name in cars])
    count = np.bincount(car).astype(np.float64)
    mean = np.bincount(car, weights=readings) / count
    n, k = float(len(readings)), float(len(count))
    between = float((count * (mean - readings.mean()) ** 2).sum() / (k - 1.0))
    if n == k:
        return _pooled(readings)
    within = float(((readings - mean[car]) ** 2).sum() / (n - k))
    if between <= within * (1.0 + _ROUNDING):
        # No sign that cars differ: every reading is evidence of its own.
        return _pooled(readings)
    effective = (n - (count**2).sum() / n) / (k - 1.0)
    share_between = (1.0 + 1.0 / k) / effective
    share_within = 1.0 + float((1.0 / count).sum()) / k**2 - share_between
    variance = share_between * between + share_within * within
    freedom = variance**2 / (
        (share_between * between) ** 2 / (k - 1.0) + (share_within * within) ** 2 / (n - k)
    )
    return _Spread(float(mean.mean()), variance, float(freedom))
