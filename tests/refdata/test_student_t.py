"""Student's t against the guide's table and an independent library."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from knowngood_refdata.student_t import cumulative, quantile


@pytest.mark.parametrize(
    ("freedom", "t95", "t99"),
    [(1, 12.71, 63.66), (5, 2.57, 4.03), (10, 2.23, 3.17), (16, 2.12, 2.92), (math.inf, 1.960, 2.576)],
)
def test_the_quantiles_of_the_guide(freedom: float, t95: float, t99: float) -> None:
    # JCGM 100:2008, table G.2.
    assert quantile(0.975, freedom) == pytest.approx(t95, abs=0.006)
    assert quantile(0.995, freedom) == pytest.approx(t99, abs=0.006)


@given(probability=st.floats(0.001, 0.999), freedom=st.floats(1.0, 1e5))
def test_the_quantile_is_that_of_an_independent_library(probability: float, freedom: float) -> None:
    assert quantile(probability, freedom) == pytest.approx(
        float(stats.t.ppf(probability, freedom)), rel=1e-8, abs=1e-9
    )


@given(t=st.floats(-60.0, 60.0), freedom=st.floats(1.0, 1e5))
def test_the_probability_is_that_of_an_independent_library(t: float, freedom: float) -> None:
    assert cumulative(t, freedom) == pytest.approx(float(stats.t.cdf(t, freedom)), rel=1e-8, abs=1e-12)


def test_a_senseless_question_is_refused() -> None:
    for probability in (0.0, 1.0, -0.5):
        with pytest.raises(ValueError, match="between 0 and 1"):
            quantile(probability, 5.0)
    with pytest.raises(ValueError, match="at least one degree"):
        quantile(0.9, 0.5)
    assert math.isnan(quantile(0.9, math.nan))
