"""The ellipse of a family's answers to engine speed."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EllipseShape:
    """Half-axes in the unit of the spreads, turned by ``angle_rad`` from the first axis."""

    half_major: float
    half_minor: float
    angle_rad: float


def ellipse(first: float, second: float, correlation: float, share: float) -> EllipseShape:
    """The ellipse that holds a share of a bivariate normal distribution.

    The squared Mahalanobis distance of two dimensions is exponential: it is below -2 ln(1 - share) with the
    probability ``share``; the axes are those of the covariance.

    Parameters
    ----------
    first, second
        Standard deviations along the two axes.
    correlation
        -1 to 1.
    share
        0 to 1, without 1.

    >>> shape = ellipse(2.0, 1.0, 0.0, 0.5)
    >>> round(shape.half_major / shape.half_minor, 6), shape.angle_rad
    (2.0, 0.0)
    """
    scale = math.sqrt(-2.0 * math.log(1.0 - share))
    a, b, both = first**2, second**2, correlation * first * second
    middle, half = (a + b) / 2.0, math.hypot((a - b) / 2.0, both)
    return EllipseShape(
        scale * math.sqrt(middle + half),
        scale * math.sqrt(max(middle - half, 0.0)),
        0.5 * math.atan2(2.0 * both, a - b),
    )
