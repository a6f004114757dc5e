"""Weighted straight lines: a slope with its uncertainty, and whether the points lie on a line at all.

Weighted least squares with known standard uncertainties of y, as in ISO/TS 28037:2010, clause 6.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import chdtrc

from knowngood_refdata.records import Estimate
from knowngood_refdata.student_t import quantile

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

NORMAL_95 = 1.96
UNLIKELY = 0.05
"""Points that scatter so much by chance in fewer than one in twenty cases do not lie on one line."""


@dataclass(frozen=True, slots=True)
class Line:
    """y = intercept + slope x, with standard uncertainties, in the units of x and y.

    Attributes
    ----------
    covariance
        Of slope and intercept.
    chi_squared, degrees
        Weighted sum of squared residuals, and how many it is worth on average.
    """

    slope: Estimate
    intercept: Estimate
    covariance: float
    chi_squared: float
    degrees: int

    @property
    def chance(self) -> float:
        """Probability of a larger scatter than this, were the points on a line; 1 without spare points."""
        return float(chdtrc(self.degrees, self.chi_squared)) if self.degrees else 1.0

    @property
    def scatter(self) -> float:
        """By which factor the points scatter more than their uncertainties say, the Birge ratio; 1 at least.

        Source: R. T. Birge, Physical Review 40 (1932) 207 (from memory).
        """
        return max(1.0, math.sqrt(self.chi_squared / self.degrees)) if self.degrees else 1.0

    def at(self, x: float) -> Estimate:
        """The line at a place (ISO/TS 28037:2010, clause 11.2, for an x without uncertainty)."""
        variance = (
            self.intercept.standard_uncertainty**2
            + (x * self.slope.standard_uncertainty) ** 2
            + 2.0 * x * self.covariance
        )
        return Estimate(self.intercept.value + self.slope.value * x, math.sqrt(max(variance, 0.0)))

    def half_width_95(self, *, scatters: bool) -> float:
        """Half the 95 % interval of the slope, widened by the scatter of the points where asked.

        A factor that was found from few points is itself uncertain: it goes with Student's t.
        """
        if not scatters or self.scatter <= 1.0:
            return NORMAL_95 * self.slope.standard_uncertainty
        return quantile(0.975, self.degrees) * self.scatter * self.slope.standard_uncertainty


def line(x: Sequence[float], y: Sequence[float], u: Sequence[float]) -> Line:
    """The weighted line through points; ``u`` are the standard uncertainties of ``y``, all (n,).

    Raises
    ------
    ValueError
        With fewer than two places along x, or an uncertainty that is not positive.

    >>> found = line([1, 2, 3, 4, 5, 6], [3.2, 4.3, 7.6, 8.6, 11.7, 12.8], [0.5, 0.5, 0.5, 1, 1, 1])
    >>> round(found.slope.value, 3), round(found.slope.standard_uncertainty, 3)
    (2.057, 0.178)
    """
    at, value, weight = _arrays(x, y, u)
    total = weight.sum()
    middle, mean = (weight * at).sum() / total, (weight * value).sum() / total
    reach = (weight * (at - middle) ** 2).sum()
    if not reach > 0.0:
        raise ValueError("a line needs points at two places at least")
    slope = (weight * (at - middle) * (value - mean)).sum() / reach
    intercept = mean - slope * middle
    rest = (weight * (value - intercept - slope * at) ** 2).sum()
    return Line(
        Estimate(float(slope), float(reach**-0.5)),
        Estimate(float(intercept), float((1.0 / total + middle**2 / reach) ** 0.5)),
        float(-middle / reach),
        float(rest),
        len(at) - 2,
    )


def through_origin(x: Sequence[float], y: Sequence[float], u: Sequence[float]) -> Line:
    """The weighted line y = slope x; its intercept is zero without uncertainty.

    Raises
    ------
    ValueError
        Without a point away from x = 0, or with an uncertainty that is not positive.

    >>> round(through_origin([4.0, 5.0, 6.0], [3.0, 4.0, 4.0], [1.0, 1.0, 1.0]).slope.value, 6)
    0.727273
    """
    at, value, weight = _arrays(x, y, u)
    reach = (weight * at**2).sum()
    if not reach > 0.0:
        raise ValueError("a line through the origin needs a point away from it")
    slope = (weight * at * value).sum() / reach
    rest = (weight * (value - slope * at) ** 2).sum()
    return Line(Estimate(float(slope), float(reach**-0.5)), Estimate(0.0, 0.0), 0.0, float(rest), len(at) - 1)


def _arrays(x: Sequence[float], y: Sequence[float], u: Sequence[float]) -> tuple[NDArray[np.float64], ...]:
    at, value, sure = (np.asarray(one, dtype=np.float64) for one in (x, y, u))
    if not (sure > 0.0).all():
        raise ValueError("a point without a positive uncertainty cannot be weighed against others")
    return at, value, 1.0 / sure**2
