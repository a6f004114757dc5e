"""The ellipse of a family's answers holds the share of cars that it says."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import chi2

from knowngood_book.core import ellipse


@pytest.mark.parametrize("share", [0.5, 0.9])
@pytest.mark.parametrize(
    ("first", "second", "correlation"), [(1.0, 1.0, 0.0), (2.0, 0.5, 0.7), (0.3, 1.0, -0.9)]
)
def test_the_ellipse_holds_its_share(first: float, second: float, correlation: float, share: float) -> None:
    both = correlation * first * second
    draw = np.random.default_rng(1)
    x, y = draw.multivariate_normal([0.0, 0.0], [[first**2, both], [both, second**2]], 40_000).T
    shape = ellipse(first, second, correlation, share)
    cos, sin = np.cos(shape.angle_rad), np.sin(shape.angle_rad)
    along, across = x * cos + y * sin, y * cos - x * sin
    held = ((along / shape.half_major) ** 2 + (across / shape.half_minor) ** 2 <= 1.0).mean()
    assert held == pytest.approx(share, abs=0.012)


def test_the_axes_are_scaled_by_the_chi_squared_quantile() -> None:
    assert ellipse(1.0, 1.0, 0.0, 0.9).half_major == pytest.approx(float(np.sqrt(chi2.ppf(0.9, 2))))
