"""R-1234yf against R-134a in simple cycles: published signs and sizes, and what has no figures.

The bands come from the studies named at each check; a cycle of properties alone shows their sign and the
lower part of their size. The closer figures were computed apart with CoolProp 8.0, to a tenth.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_comparison.core.assumptions import Assumptions
from knowngood_comparison.core.figures import Compared, Figure, beyond_equation, compared
from knowngood_refdata.quantities import ZERO_CELSIUS_K


def cycle(
    evaporating_c: float,
    condensing_c: float,
    superheat_k: float = 0.0,
    subcooling_k: float = 0.0,
    efficiency: float = 1.0,
) -> Assumptions:
    return Assumptions(
        evaporating_c + ZERO_CELSIUS_K,
        condensing_c + ZERO_CELSIUS_K,
        superheat_k,
        subcooling_k,
        efficiency,
        cooling_w=1e3,
    )


def percent(found: Compared, figure: Figure) -> float:
    share = found.share(figure)
    assert share is not None
    return 100.0 * share


CONDITIONS = (
    cycle(0, 40, 0, 0, 1.0),
    cycle(5, 50, 5, 5, 1.0),
    cycle(7, 45, 11, 8.3, 1.0),
    cycle(10, 55, 10, 5, 0.65),
    cycle(5, 60, 10, 5, 0.70),
    cycle(-5, 55, 5, 5, 0.70),
)
COMPUTED = (
    # In percent as in SHARES, and the discharge in K.
    (7.9, -7.1, -23.7, 31.1, -6.8, -5.3, -9.9, -4.5),
    (6.7, -7.4, -23.3, 30.4, -7.2, -4.6, -10.2, -7.6),
    (6.2, -6.3, -20.4, 25.7, -4.2, -1.8, -10.0, -6.8),
    (5.6, -7.0, -22.8, 29.6, -7.6, -4.2, -10.4, -10.7),
    (6.7, -8.5, -24.9, 33.2, -9.2, -6.3, -10.7, -12.2),
    (9.2, -10.0, -26.2, 35.5, -8.9, -7.5, -10.4, -14.0),
)
SHARES = (
    Figure.SUCTION_PRESSURE, Figure.PRESSURE_RATIO, Figure.CAPACITY, Figure.MASS_FLOW,
    Figure.VOLUMETRIC_CAPACITY, Figure.COP, Figure.LIQUID_DENSITY,
)  # fmt: skip


@pytest.mark.parametrize(("conditions", "expected"), list(zip(CONDITIONS, COMPUTED, strict=True)))
def test_the_differences_are_those_that_coolprop_gives_for_the_same_cycle(
    conditions: Assumptions, expected: tuple[float, ...]
) -> None:
    found = compared(conditions)
    assert [percent(found, figure) for figure in SHARES] == pytest.approx(expected[:-1], abs=0.06)
    assert found.difference(Figure.DISCHARGE) == pytest.approx(expected[-1], abs=0.06)


@pytest.mark.parametrize("conditions", CONDITIONS)
def test_cop_and_capacity_fall_as_far_as_bench_tests_of_vehicle_systems_found(
    conditions: Assumptions,
) -> None:
    """Lee and Jung 2012: COP to -2.7 %, capacity to -4 %; Daviran 2017: COP -1.3 to -5 %; Navarro-Esbrí
    and others, Appl. Therm. Eng. 59 (2013) 153: capacity and COP -6 to -13 %."""
    found = compared(conditions)
    assert -9.0 < percent(found, Figure.COP) < -1.0
    assert -13.0 < percent(found, Figure.VOLUMETRIC_CAPACITY) < -3.0


@pytest.mark.parametrize("conditions", CONDITIONS)
def test_the_discharge_is_cooler_by_kelvins_and_the_liquid_lighter_by_a_tenth(
    conditions: Assumptions,
) -> None:
    """Lee and Jung 2012: discharge 6.5 K cooler, charge 10 % lower."""
    found = compared(conditions)
    cooler = found.difference(Figure.DISCHARGE)
    assert cooler is not None
    assert -15.0 < cooler < -4.0
    assert -11.0 < percent(found, Figure.LIQUID_DENSITY) < -9.0


@pytest.mark.parametrize("conditions", CONDITIONS)
def test_more_refrigerant_is_moved_over_a_smaller_pressure_ratio(conditions: Assumptions) -> None:
    """Signs as in the studies above; the bands are those of a cycle of properties alone."""
    found = compared(conditions)
    assert 24.0 < percent(found, Figure.MASS_FLOW) < 37.0
    assert -11.0 < percent(found, Figure.PRESSURE_RATIO) < -5.0
    assert 5.0 < percent(found, Figure.SUCTION_PRESSURE) < 10.0


@pytest.mark.parametrize(
    ("evaporating_c", "condensing_c", "none", "one", "both"),
    [
        (0, 40, -3.7, -0.96, -1.88),
        (-5, 50, -6.7, -0.91, -3.36),
        (5, 50, -5.2, -1.15, -2.78),
        (7, 55, -6.2, -1.24, -3.36),
    ],
)
def test_an_internal_heat_exchanger_brings_the_cop_nearer(
    evaporating_c: float, condensing_c: float, none: float, one: float, both: float
) -> None:
    """Navarro-Esbrí and others, Appl. Therm. Eng. 59 (2013) 153: -6 to -13 % become -2 to -6 %. The figures
    were computed apart with CoolProp 8.0, effectiveness 0.4 of the way to the liquid's temperature."""
    without = cycle(evaporating_c, condensing_c, 7.0, 2.0, 0.7)
    for effectiveness, expected in (((0.0, 0.0), none), ((0.0, 0.4), one), ((0.4, 0.4), both)):
        found = compared(replace(without, effectiveness=effectiveness))
        assert percent(found, Figure.COP) == pytest.approx(expected, abs=0.06)


def test_the_exchanger_of_one_system_warms_the_suction_gas_of_that_system_alone() -> None:
    without = compared(cycle(5, 50, 5, 5, 0.7))
    with_one = compared(replace(cycle(5, 50, 5, 5, 0.7), effectiveness=(0.0, 0.5)))
    assert with_one.sides[0].figure(Figure.SUPERHEAT) == without.sides[0].figure(Figure.SUPERHEAT)
    # Half of the way from 10 °C at the evaporator's outlet to 45 °C in the liquid line.
    assert with_one.sides[1].figure(Figure.SUPERHEAT) == pytest.approx(5.0 + 17.5, abs=1e-6)


def test_a_suction_drop_lowers_the_suction_pressure_and_the_cop() -> None:
    without, dropped = (compared(replace(cycle(5, 50, 5, 5, 0.7), suction_drop_pa=pa)) for pa in (0.0, 3e4))
    for before, after in zip(without.sides, dropped.sides, strict=True):
        pressures = [side.figure(Figure.SUCTION_PRESSURE) or 0.0 for side in (before, after)]
        assert pressures[0] - pressures[1] == pytest.approx(3e4)
        assert (after.figure(Figure.COP) or 9.0) < (before.figure(Figure.COP) or 0.0)


def test_mass_flow_and_compressor_power_carry_the_cooling_power_that_is_wanted() -> None:
    for side in compared(replace(cycle(5, 50, 5, 5, 0.7), cooling_w=4_000.0)).sides:
        flow, capacity = side.figure(Figure.MASS_FLOW), side.figure(Figure.CAPACITY)
        power, cop = side.figure(Figure.POWER), side.figure(Figure.COP)
        assert flow is not None
        assert capacity is not None
        assert power is not None
        assert cop is not None
        assert flow * capacity == pytest.approx(4_000.0)
        assert power * cop == pytest.approx(4_000.0)


def test_without_a_cooling_power_there_is_no_mass_flow() -> None:
    found = compared(replace(CONDITIONS[0], cooling_w=None))
    assert found.difference(Figure.MASS_FLOW) is None
    assert found.difference(Figure.COP) is not None


def test_of_temperatures_no_percentage_is_given() -> None:
    found = compared(CONDITIONS[0])
    assert found.share(Figure.DISCHARGE) is None
    assert found.share(Figure.SUPERHEAT) is None


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"evaporating_k": 330.0}, "above evaporating"),
        ({"condensing_k": 273.15}, "above evaporating"),
        ({"superheat_k": -1.0}, "superheat"),
        ({"subcooling_k": -1.0}, "subcooling"),
        ({"subcooling_k": 50.0}, "colder than the evaporator"),
        ({"isentropic_efficiency": 0.0}, "efficiency"),
        ({"isentropic_efficiency": 1.2}, "100 %"),
        ({"effectiveness": (0.0, 1.5)}, "100 %"),
        ({"effectiveness": (-0.1, 0.0)}, "effectiveness"),
        ({"suction_drop_pa": -1.0}, "suction drop"),
        ({"cooling_w": 0.0}, "cooling power"),
    ],
)
def test_what_contradicts_itself_is_answered_with_words_alone(wrong: dict[str, object], words: str) -> None:
    found = compared(replace(CONDITIONS[0], **wrong))  # type: ignore[arg-type]
    assert found.words is not None
    assert words in found.words.text
    assert all(side.figures is None for side in found.sides)


def test_between_both_critical_temperatures_the_old_refrigerant_has_figures_and_the_new_one_words() -> None:
    """Critical at 101.1 °C (R-134a) and 94.7 °C (R-1234yf), as in their equations of state."""
    old, new = compared(cycle(5, 97)).sides
    assert old.figures is not None
    assert new.words is not None
    assert "critical temperature of R-1234yf" in new.words.text
    assert new.words.bound == pytest.approx(94.7 + ZERO_CELSIUS_K, abs=0.05)


@pytest.mark.parametrize(
    ("conditions", "words"),
    [
        (cycle(5, 94.5), "too near"),
        (cycle(-120, 40), "no tables"),
        (replace(cycle(5, 50), suction_drop_pa=3.6e5), "leaves nothing"),
    ],
)
def test_where_there_is_no_state_the_reason_is_said(conditions: Assumptions, words: str) -> None:
    told = [side.words.text for side in compared(conditions).sides if side.words is not None]
    assert any(words in one for one in told)


def test_a_discharge_hotter_than_the_equation_is_stated_for_is_pointed_out() -> None:
    """Lemmon and Akasaka 2022 state theirs for up to 410 K."""
    old, new = compared(replace(cycle(-10, 75, 40, 0, 0.5))).sides
    assert (new.figure(Figure.DISCHARGE) or 0.0) > 410.0
    told = beyond_equation(new)
    assert told is not None
    assert told.bound == 410.0
    assert beyond_equation(old) is None
    assert beyond_equation(compared(CONDITIONS[0]).sides[1]) is None


@given(
    st.floats(-200.0, 150.0),
    st.floats(-200.0, 150.0),
    st.floats(-5.0, 60.0),
    st.floats(-5.0, 60.0),
    st.floats(-0.1, 1.1),
    st.floats(0.0, 1.0),
    st.floats(-1e4, 1e6),
)
def test_whatever_is_entered_each_side_has_all_its_figures_or_words(
    evaporating_c: float,
    condensing_c: float,
    superheat_k: float,
    subcooling_k: float,
    efficiency: float,
    exchanger: float,
    drop_pa: float,
) -> None:
    entered = cycle(evaporating_c, condensing_c, superheat_k, subcooling_k, efficiency)
    found = compared(replace(entered, effectiveness=(exchanger, exchanger), suction_drop_pa=drop_pa))
    for side in found.sides:
        has_figures = side.figures is not None and len(side.figures) == len(Figure)
        assert has_figures != (side.words is not None or found.words is not None)
