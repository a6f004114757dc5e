"""Weighted lines against published worked examples."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_fleet.core.lines import NORMAL_95, line, through_origin


def test_a_line_with_equal_weights_is_that_of_iso_ts_28037() -> None:
    # ISO/TS 28037:2010, clause 6.3, example with equal weights, page 13. The data stand in NPL's software
    # that supports it, the digits beyond the printed ones in the tests of an independent library (GTC).
    found = line([1, 2, 3, 4, 5, 6], [3.3, 5.6, 7.1, 9.3, 10.7, 12.1], [0.5] * 6)
    assert found.intercept.value == pytest.approx(1.866667, abs=5e-7)
    assert found.slope.value == pytest.approx(1.757143, abs=5e-7)
    assert found.intercept.standard_uncertainty == pytest.approx(0.4654747, abs=5e-8)
    assert found.slope.standard_uncertainty == pytest.approx(0.1195229, abs=5e-8)
    assert found.covariance == pytest.approx(-0.050, abs=5e-4)
    assert found.chi_squared == pytest.approx(1.665, abs=5e-4)
    assert found.degrees == 4


def test_a_line_with_unequal_weights_is_that_of_iso_ts_28037() -> None:
    # ISO/TS 28037:2010, clause 6.3, example with unequal weights (from memory).
    found = line([1, 2, 3, 4, 5, 6], [3.2, 4.3, 7.6, 8.6, 11.7, 12.8], [0.5, 0.5, 0.5, 1.0, 1.0, 1.0])
    assert found.intercept.value == pytest.approx(0.885, abs=5e-4)
    assert found.slope.value == pytest.approx(2.057, abs=5e-4)
    assert found.intercept.standard_uncertainty == pytest.approx(0.530, abs=5e-4)
    assert found.slope.standard_uncertainty == pytest.approx(0.178, abs=5e-4)
    assert found.covariance == pytest.approx(-0.082, abs=5e-4)
    assert found.chi_squared == pytest.approx(4.131, abs=5e-4)


def test_a_line_through_the_origin_has_the_certified_values_of_nist() -> None:
    # NIST Statistical Reference Datasets, linear regression, NoInt2 and NoInt1: slope, its standard
    # deviation and the residual standard deviation (from memory).
    small = through_origin([4, 5, 6], [3, 4, 4], [1, 1, 1])
    assert small.slope.value == pytest.approx(0.727272727272727, rel=1e-13)
    assert (small.chi_squared / small.degrees) ** 0.5 == pytest.approx(0.369274472937998, rel=1e-13)
    residual = 0.369274472937998
    assert residual * small.slope.standard_uncertainty == pytest.approx(0.420827318078432e-1, rel=1e-13)
    large = through_origin(range(60, 71), range(130, 141), [1] * 11)
    assert large.slope.value == pytest.approx(2.07438016528926, rel=1e-13)
    assert (large.chi_squared / large.degrees) ** 0.5 == pytest.approx(3.56753034006338, rel=1e-12)
    assert 3.56753034006338 * large.slope.standard_uncertainty == pytest.approx(
        0.165289256198347e-1, rel=1e-12
    )


def test_the_line_at_a_place_is_surest_at_the_middle_of_the_weights() -> None:
    found = line([0.0, 1.0, 2.0], [1.0, 2.0, 3.0], [0.1, 0.1, 0.1])
    assert found.at(1.0).standard_uncertainty == pytest.approx(0.1 / 3**0.5)
    assert found.at(1.0).standard_uncertainty < found.at(0.0).standard_uncertainty
    assert found.at(5.0).value == pytest.approx(6.0)


def test_points_that_scatter_more_than_they_should_widen_the_interval_with_student_s_factor() -> None:
    # ISO/TS 28037, first example, its uncertainties taken ten times too small: chi-squared is 166.5 with
    # four degrees of freedom. t of 97.5 % with four degrees is 2.776 (JCGM 100:2008, table G.2: 2.78).
    found = line([1, 2, 3, 4, 5, 6], [3.3, 5.6, 7.1, 9.3, 10.7, 12.1], [0.05] * 6)
    assert found.chance < 1e-6
    assert found.scatter == pytest.approx((166.476 / 4) ** 0.5, rel=1e-4)
    assert found.half_width_95(scatters=True) == pytest.approx(2.776 * 6.4513 * 0.01195229, rel=1e-3)
    assert found.half_width_95(scatters=False) == pytest.approx(NORMAL_95 * 0.01195229, rel=1e-6)


def test_points_that_scatter_less_than_they_should_narrow_nothing() -> None:
    found = line([0, 1, 2], [0.0, 1.0, 2.0], [0.5, 0.5, 0.5])
    assert found.scatter == 1.0
    assert found.half_width_95(scatters=True) == found.half_width_95(scatters=False)


@given(
    st.lists(
        st.tuples(st.integers(-20, 20), st.integers(-50, 50), st.integers(1, 9)), min_size=3, max_size=8
    ).filter(lambda rows: len({x for x, _, _ in rows}) > 1)
)
def test_a_line_is_what_exact_fractions_give(rows: list[tuple[int, int, int]]) -> None:
    found = line(*zip(*rows, strict=True))
    w = [Fraction(1, u * u) for _, _, u in rows]
    s, sx = sum(w), sum(a * x for a, (x, _, _) in zip(w, rows, strict=True))
    sy = sum(a * y for a, (_, y, _) in zip(w, rows, strict=True))
    sxx = sum(a * x * x for a, (x, _, _) in zip(w, rows, strict=True))
    sxy = sum(a * x * y for a, (x, y, _) in zip(w, rows, strict=True))
    whole = s * sxx - sx * sx
    assert found.slope.value == pytest.approx(float((s * sxy - sx * sy) / whole), rel=1e-9, abs=1e-9)
    assert found.intercept.value == pytest.approx(float((sxx * sy - sx * sxy) / whole), rel=1e-9, abs=1e-8)
    assert found.slope.standard_uncertainty == pytest.approx(float(s / whole) ** 0.5, rel=1e-9)
    assert found.intercept.standard_uncertainty == pytest.approx(float(sxx / whole) ** 0.5, rel=1e-9)


def test_points_at_one_place_make_no_line() -> None:
    with pytest.raises(ValueError, match="two places"):
        line([1.0, 1.0], [2.0, 3.0], [0.1, 0.1])
    with pytest.raises(ValueError, match="away from it"):
        through_origin([0.0], [2.0], [0.1])


def test_a_point_without_an_uncertainty_is_refused() -> None:
    with pytest.raises(ValueError, match="positive uncertainty"):
        line([1.0, 2.0], [2.0, 3.0], [0.1, 0.0])
