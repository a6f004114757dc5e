"""Standard uncertainties of what is stated, against the spread of errors drawn as stated."""

from __future__ import annotations

import numpy as np
import pytest

from knowngood_refdata.standard_uncertainty import (
    from_arcsine,
    from_class,
    from_expanded,
    from_limit,
    from_triangle,
)


def test_the_converters_give_the_spread_of_drawn_errors() -> None:
    random = np.random.default_rng(11)
    assert from_limit(2.0) == pytest.approx(random.uniform(-2, 2, 200_000).std(), rel=0.01)
    assert from_triangle(2.0) == pytest.approx(random.triangular(-2, 0, 2, 200_000).std(), rel=0.01)
    swing = 2.0 * np.sin(random.uniform(0, 2 * np.pi, 200_000))
    assert from_arcsine(2.0) == pytest.approx(swing.std(), rel=0.01)
    assert from_class(1.0, 35e5) == pytest.approx(20_207.26, abs=0.01)
    assert from_expanded(3.0) == 1.5
