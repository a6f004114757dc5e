"""Mean and slope of a stretch of samples that are not independent of one another."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import sqrt
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

HIGHEST_CORRELATION = 0.99


def mean_of(values: NDArray[np.float64]) -> float:
    """The mean of a stretch (n,), n > 0: as `numpy.mean`, without its overhead on some dozens of values."""
    return float(np.add.reduce(values)) / values.size


@dataclass(frozen=True, slots=True)
class Trend:
    """A straight line through a stretch: slope in unit a second with its standard error."""

    slope: float
    standard_error: float


def lag_one_autocorrelation(values: NDArray[np.float64]) -> float:
    """Correlation of a series (n,) with itself one sample later; 0 for a constant.

    r = sum (x[i] - m)(x[i+1] - m) / sum (x[i] - m)^2, the definition of the NIST Statistical Reference
    Datasets (univariate summary statistics); its dataset NumAcc1 has the certified value -0.5.

    >>> import numpy as np
    >>> lag_one_autocorrelation(np.array([10000001.0, 10000003.0, 10000002.0]))
    -0.5
    """
    return _correlation(values - values.mean())


def _correlation(off: NDArray[np.float64]) -> float:
    total = float(off @ off)
    return float(off[:-1] @ off[1:]) / total if total > 0.0 else 0.0


def effective_count(count: int, correlation: float) -> float:
    """How many independent samples carry as much about the mean as ``count`` correlated ones.

    n' = n (1 - r) / (1 + r) for a first-order autoregressive series, n large against its memory.
    Source: D. S. Wilks, Statistical Methods in the Atmospheric Sciences, chapter 5 (from memory).
    A negative correlation is not taken as a gain, and there is always one sample.

    >>> effective_count(100, 0.6)
    25.0
    """
    held = min(max(correlation, 0.0), HIGHEST_CORRELATION)
    return max(1.0, count * (1.0 - held) / (1.0 + held))


def settled_mean(values: NDArray[np.float64]) -> tuple[float, float]:
    """Mean of a settled stretch (n,) and its standard error, honest about autocorrelation.

    Samples missing are left out. Without any sample both are NaN; of one sample the error is 0: nothing
    is known of its scatter.
    """
    kept = values[np.isfinite(values)]
    if kept.size < 2:
        return (float(kept[0]), 0.0) if kept.size else (float("nan"), float("nan"))
    mean = float(kept.mean())
    off = kept - mean
    independent = effective_count(kept.size, _correlation(off))
    return mean, sqrt(float(off @ off) / (kept.size - 1) / independent)


def trend(values: NDArray[np.float64], step_s: float) -> Trend:
    """Least-squares line through evenly spaced values (n,), n > 2.

    The standard error is that of independent residuals widened by sqrt((1 + r) / (1 - r)) for their
    lag-one autocorrelation r, the same correction as in `effective_count`.
    """
    count = values.size
    seconds = _about_middle(count, step_s)
    spread = _extent(count, step_s)
    slope = float(seconds @ values) / spread
    residual = values - mean_of(values) - slope * seconds
    independent = effective_count(count, _correlation(residual))
    variance = float(residual @ residual) / max(count - 2, 1)
    return Trend(slope, sqrt(variance / spread * count / independent))


def slope_of(values: NDArray[np.float64], step_s: float) -> float:
    """Slope of the least-squares line through evenly spaced values (n,), n > 1, alone."""
    return float(_about_middle(values.size, step_s) @ values) / _extent(values.size, step_s)


def _extent(count: int, step_s: float) -> float:
    """Sum of squares of `_about_middle`."""
    return step_s**2 * count * (count**2 - 1) / 12.0


@lru_cache(maxsize=256)
def _about_middle(count: int, step_s: float) -> NDArray[np.float64]:
    """Seconds of evenly spaced values from the middle of their stretch, (n,)."""
    seconds = step_s * (np.arange(count, dtype=np.float64) - 0.5 * (count - 1))
    seconds.flags.writeable = False
    return seconds
