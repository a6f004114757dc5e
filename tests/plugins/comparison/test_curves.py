"""A figure over a temperature: it passes through the table's value, and ends where there is no state."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from knowngood_comparison.core.assumptions import Assumptions
from knowngood_comparison.core.curves import Along, curves
from knowngood_comparison.core.figures import Figure, compared
from knowngood_refdata.refrigerants import saturation

GIVEN = Assumptions(278.15, 323.15, 5.0, 5.0, 0.7, (0.0, 0.4), 1e4, 5_000.0)


@pytest.mark.parametrize("figure", Figure)
@pytest.mark.parametrize("along", Along)
def test_each_curve_passes_through_what_the_table_says(figure: Figure, along: Along) -> None:
    sides = compared(GIVEN).sides
    place = GIVEN.evaporating_k if along is Along.EVAPORATING else GIVEN.condensing_k
    for side, curve in zip(sides, curves(GIVEN, figure, along), strict=True):
        assert curve.refrigerant == side.refrigerant
        at = float(np.interp(place, curve.saturation_k, curve.values))
        assert at == pytest.approx(side.figure(figure), rel=2e-4)


def test_the_pressures_of_a_curve_are_those_of_its_own_refrigerant() -> None:
    for curve in curves(GIVEN, Figure.COP, Along.CONDENSING):
        expected = saturation(curve.refrigerant).pressure_pa(curve.saturation_k)
        np.testing.assert_allclose(curve.pressure_pa, expected)
    low, high = (curve.pressure_pa[0] for curve in curves(GIVEN, Figure.COP, Along.EVAPORATING))
    assert low < high


def test_a_curve_ends_before_the_critical_point_of_its_refrigerant() -> None:
    old, new = curves(replace(GIVEN, condensing_k=371.0), Figure.COP, Along.CONDENSING)
    assert np.isfinite(old.values).all()
    ended = np.isnan(new.values)
    assert ended.any()
    assert new.saturation_k[ended].min() > 366.0
    assert not ended[new.saturation_k < 366.0].any()


def test_the_axis_reaches_to_the_conditions_that_were_entered() -> None:
    far = replace(GIVEN, evaporating_k=240.0, condensing_k=368.0)
    assert curves(far, Figure.COP, Along.EVAPORATING)[0].saturation_k[0] == 240.0
    assert curves(far, Figure.COP, Along.CONDENSING)[0].saturation_k[-1] == 368.0


def test_evaporating_stays_below_condensing_all_along() -> None:
    near = replace(GIVEN, evaporating_k=270.0, condensing_k=285.0)
    (curve, _) = curves(near, Figure.COP, Along.EVAPORATING)
    assert curve.saturation_k[-1] < 285.0 - 5.0
    assert (np.diff(curve.values) > 0.0).all()


@pytest.mark.parametrize("figure", [Figure.MASS_FLOW, Figure.POWER])
def test_without_a_cooling_power_what_needs_one_has_no_curve(figure: Figure) -> None:
    assert curves(replace(GIVEN, cooling_w=None), figure, Along.EVAPORATING) == ()


@pytest.mark.parametrize(
    "wrong", [{"superheat_k": -1.0}, {"isentropic_efficiency": 0.0}, {"evaporating_k": 390.0}]
)
def test_what_contradicts_itself_has_no_curve(wrong: dict[str, float]) -> None:
    assert curves(replace(GIVEN, **wrong), Figure.COP, Along.CONDENSING) == ()  # type: ignore[arg-type]


def test_nothing_but_gaps_is_drawn_where_no_point_has_a_state() -> None:
    for curve in curves(replace(GIVEN, suction_drop_pa=5e6), Figure.COP, Along.EVAPORATING):
        assert np.isnan(curve.values).all()
