"""The verdict on drawn decay curves: each shape, each level, and everything that decides nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_calculator.core.decay import Verdict, judge_decay
from knowngood_calculator.core.decay_fit import fit_shapes
from knowngood_calculator.core.decay_hold import Decay

if TYPE_CHECKING:
    from numpy.typing import NDArray

MICRON_PA = 0.133322387415
MINUTES: NDArray[np.float64] = np.arange(0.0, 1201.0, 60.0)
"""A reading a minute for 20 min."""


def decay(
    microns: NDArray[np.float64],
    times: NDArray[np.float64] = MINUTES,
    scatter: float = 2.0,
    step: float = 1.0,
    limit_micron: float | None = None,
    seed: int = 7,
) -> Decay:
    """A record with the scatter of a gauge [micron] and its last digit."""
    noise = scatter * np.random.default_rng(seed).standard_normal(len(microns))
    shown = np.round((microns + noise) / step) * step
    limit_pa = None if limit_micron is None else limit_micron * MICRON_PA
    return Decay(times, shown * MICRON_PA, step * MICRON_PA, limit_pa)


def levelling(plateau: float, start: float = 300.0, tau_s: float = 200.0) -> NDArray[np.float64]:
    return plateau - (plateau - start) * np.exp(-MINUTES / tau_s)


def straight(rate_micron_s: float, start: float = 300.0) -> NDArray[np.float64]:
    return start + rate_micron_s * MINUTES


def test_a_vacuum_that_settles_low_is_tight() -> None:
    found = judge_decay(decay(levelling(600.0, tau_s=60.0)))
    assert found.verdict is Verdict.TIGHT
    assert found.level_pa == pytest.approx(600.0 * MICRON_PA, rel=0.02)
    assert "steady at" in found.reason
    assert "would not show" in found.reason


@pytest.mark.parametrize("plateau", [1_400.0, 1_900.0])
def test_a_vacuum_that_settles_between_1000_and_2000_micron_is_moist(plateau: float) -> None:
    found = judge_decay(decay(levelling(plateau)))
    assert found.verdict is Verdict.MOISTURE
    assert "levels off" in found.reason


def test_a_high_plateau_within_the_reach_of_water_is_moisture_and_not_a_leak() -> None:
    found = judge_decay(decay(levelling(12_000.0), scatter=20.0))
    assert found.verdict is Verdict.MOISTURE
    assert "The level alone" in found.reason


def test_a_plateau_below_the_triple_point_is_said_to_be_ice_perhaps() -> None:
    assert "may be ice" in judge_decay(decay(levelling(1_500.0))).reason
    assert "may be ice" not in judge_decay(decay(levelling(12_000.0), scatter=20.0)).reason


def test_a_rise_that_slows_down_towards_the_reach_of_water_is_moisture() -> None:
    found = judge_decay(decay(levelling(8_000.0, tau_s=500.0), scatter=5.0))
    assert found.verdict is Verdict.MOISTURE
    assert "slowing down" in found.reason
    assert found.plateau_pa == pytest.approx(8_000.0 * MICRON_PA, rel=0.05)


@pytest.mark.parametrize("rate", [2.5, 8.0, 60.0])
def test_a_straight_rise_past_2000_micron_is_a_leak(rate: float) -> None:
    found = judge_decay(decay(straight(rate)))
    assert found.verdict is Verdict.LEAK
    assert found.rate_pa_s == pytest.approx(rate * MICRON_PA, rel=0.02)
    assert "straight" in found.reason


def test_a_rise_past_what_water_can_reach_needs_a_leak() -> None:
    # Water at 0 °C reaches 611 Pa, 4,585 micron; at 20 °C 17,540.
    record = decay(straight(5.0))
    assert "can reach: air comes in" in judge_decay(record, coldest_k=273.15).reason
    assert "can look so until" in judge_decay(record, coldest_k=293.15).reason


def test_a_leak_behind_hoses_that_even_out_first_is_still_a_leak() -> None:
    microns = straight(4.0) + 600.0 * (1.0 - np.exp(-MINUTES / 90.0))
    assert judge_decay(decay(microns)).verdict is Verdict.LEAK


def test_a_lost_vacuum_is_a_leak_though_it_bends_towards_the_air_pressure() -> None:
    found = judge_decay(decay(levelling(755_000.0, tau_s=500.0), scatter=300.0, step=100.0))
    assert found.verdict is Verdict.LEAK


def test_a_vacuum_back_at_the_air_pressure_is_lost() -> None:
    found = judge_decay(decay(levelling(758_000.0, tau_s=60.0), scatter=300.0, step=100.0))
    assert found.verdict is Verdict.LEAK
    assert "the vacuum is lost" in found.reason


def test_level_and_shape_that_disagree_decide_nothing() -> None:
    # Still rising straight, yet at a level that counts as good.
    found = judge_decay(decay(straight(0.4)))
    assert found.verdict is Verdict.CANNOT_TELL
    assert "the level is still good" in found.reason


def test_a_plateau_above_the_reach_of_water_decides_nothing() -> None:
    # At -10 °C water reaches 260 Pa, 1,950 micron.
    found = judge_decay(decay(levelling(4_000.0, tau_s=100.0), scatter=5.0), coldest_k=263.15)
    assert found.verdict is Verdict.CANNOT_TELL
    assert "refrigerant coming out of the oil" in found.reason


def test_a_small_straight_rise_is_neither_leak_nor_moisture_to_a_rough_gauge() -> None:
    # 300 to 1,500 micron: water that heads for 17,500 micron would slow down by 7 %.
    assert judge_decay(decay(straight(1.0), scatter=2.0)).verdict is Verdict.LEAK
    found = judge_decay(decay(straight(1.0), scatter=6.0))
    assert found.verdict is Verdict.CANNOT_TELL
    assert "passes 2,000 micron" in found.reason


def test_a_system_never_pulled_deep_is_not_called_moist() -> None:
    found = judge_decay(decay(np.full(21, 6_000.0)))
    assert found.verdict is Verdict.CANNOT_TELL
    assert "never pulled deep enough" in found.reason


def test_a_hold_of_less_than_ten_minutes_decides_nothing() -> None:
    for microns in (levelling(600.0, tau_s=60.0), straight(60.0)):
        found = judge_decay(decay(microns[:9], MINUTES[:9]))
        assert found.verdict is Verdict.CANNOT_TELL
        assert "Held for 8 min only" in found.reason
        assert found.level_pa is None


def test_five_readings_decide_nothing() -> None:
    times = MINUTES[::5]
    found = judge_decay(decay(straight(60.0)[::5], times))
    assert found.verdict is Verdict.CANNOT_TELL
    assert "Too few readings: 5" in found.reason


def test_six_readings_over_ten_minutes_can_show_a_leak() -> None:
    times = np.arange(0.0, 601.0, 120.0)
    assert judge_decay(decay(300.0 + 20.0 * times, times)).verdict is Verdict.LEAK


def test_times_out_of_order_are_named() -> None:
    times = MINUTES.copy()
    times[[4, 5]] = times[[5, 4]]
    found = judge_decay(Decay(times, straight(5.0) * MICRON_PA))
    assert found.verdict is Verdict.CANNOT_TELL
    assert "from reading 5 to 6" in found.reason


@pytest.mark.parametrize("wrong", [np.nan, np.inf])
def test_readings_without_a_number_decide_nothing(wrong: float) -> None:
    microns = straight(5.0)
    microns[3] = wrong
    assert "no number" in judge_decay(Decay(MINUTES, microns)).reason


def test_arrays_that_do_not_belong_together_decide_nothing() -> None:
    assert "do not belong together" in judge_decay(Decay(MINUTES, MINUTES[1:] + 1.0)).reason


def test_a_gauge_at_zero_decides_nothing() -> None:
    microns = levelling(600.0)
    microns[:3] = 0.0
    found = judge_decay(Decay(MINUTES, microns * MICRON_PA))
    assert found.verdict is Verdict.CANNOT_TELL
    assert "lower limit" in found.reason


def test_a_gauge_at_its_known_limit_decides_nothing() -> None:
    clipped = np.minimum(straight(20.0), 12_000.0)
    found = judge_decay(decay(clipped, limit_micron=12_000.0))
    assert found.verdict is Verdict.CANNOT_TELL
    assert "limit, 12,000 micron" in found.reason


def test_a_reading_that_stops_dead_is_taken_for_the_limit_of_the_gauge() -> None:
    clipped = np.minimum(straight(20.0), 12_000.0)
    found = judge_decay(Decay(MINUTES, clipped * MICRON_PA, MICRON_PA))
    assert found.verdict is Verdict.CANNOT_TELL
    assert "stops dead" in found.reason


def test_the_pump_still_pulling_at_first_is_left_out_and_told() -> None:
    pulled = 300.0 + 20_000.0 * np.exp(-np.arange(0.0, 600.0, 60.0) / 60.0)
    microns = np.concatenate([pulled, straight(6.0)])
    times = np.arange(len(microns), dtype=np.float64) * 60.0
    found = judge_decay(decay(microns, times))
    assert found.verdict is Verdict.LEAK
    assert "taken for the pump pulling" in found.reason


def test_a_valve_that_was_never_closed_decides_nothing() -> None:
    found = judge_decay(decay(300.0 + 5_000.0 * np.exp(-MINUTES / 300.0)))
    assert found.verdict is Verdict.CANNOT_TELL
    assert "not closed" in found.reason


def test_a_valve_opened_during_the_hold_decides_nothing() -> None:
    microns = straight(5.0)
    microns[12:] = 320.0
    found = judge_decay(decay(microns))
    assert found.verdict is Verdict.CANNOT_TELL
    assert "falls again" in found.reason


def test_a_slow_fall_decides_nothing() -> None:
    found = judge_decay(decay(900.0 - 0.14 * MINUTES))
    assert found.verdict is Verdict.CANNOT_TELL
    assert "falls by" in found.reason


def test_scatter_that_hides_the_end_decides_nothing() -> None:
    found = [judge_decay(decay(levelling(700.0, tau_s=60.0), scatter=120.0, seed=seed)) for seed in range(8)]
    assert {one.verdict for one in found} == {Verdict.CANNOT_TELL}
    assert sum("The readings scatter by" in one.reason for one in found) >= 6
    # A finer gauge, a shorter hold: 50 micron about 700 in 10 min.
    short = MINUTES[:11]
    brief = judge_decay(decay(levelling(700.0, tau_s=60.0)[:11], short, scatter=50.0, seed=3))
    assert brief.verdict is Verdict.CANNOT_TELL
    assert "scatter too much" in brief.reason


def test_a_step_in_the_middle_is_no_shape_to_judge() -> None:
    microns: NDArray[np.float64] = np.full(21, 400.0)
    microns[10:] = 900.0
    found = judge_decay(decay(microns))
    assert found.verdict is Verdict.CANNOT_TELL
    assert "no single cause" in found.reason


def test_a_dial_gauge_that_does_not_move_does_not_make_it_tight() -> None:
    # 1 inHg absolute, in steps of half an inch.
    found = judge_decay(decay(np.full(21, 25_400.0), step=12_700.0), coldest_k=313.15)
    assert found.verdict is Verdict.CANNOT_TELL
    assert "too coarse" in found.reason


def test_a_dial_gauge_still_shows_a_gross_leak() -> None:
    found = judge_decay(decay(25_400.0 + 150.0 * MINUTES, step=12_700.0))
    assert found.verdict is Verdict.LEAK


def test_a_temperature_that_does_not_exist_decides_nothing() -> None:
    found = judge_decay(decay(straight(5.0)), coldest_k=20.0)
    assert found.verdict is Verdict.CANNOT_TELL
    assert "temperature" in found.reason


@given(
    readings=st.lists(st.tuples(st.floats(0.01, 1e5), st.floats(1e-3, 2e5)), max_size=70),
    step=st.floats(0.0, 1e4),
    coldest_k=st.floats(100.0, 400.0),
)
def test_any_readings_are_judged_with_a_reason(
    readings: list[tuple[float, float]], step: float, coldest_k: float
) -> None:
    times = np.cumsum([one for one, _ in readings])
    found = judge_decay(Decay(times, np.array([one for _, one in readings]), step), coldest_k)
    assert found.reason.endswith(".")
    assert "nan" not in found.reason
    assert "inf " not in found.reason


@given(start=st.floats(0.1, 1e4), rate=st.floats(0.05, 1e3), count=st.integers(6, 120))
def test_a_straight_rise_is_never_tight_or_moist(start: float, rate: float, count: int) -> None:
    times = np.linspace(0.0, 900.0, count)
    found = judge_decay(Decay(times, start + rate * times))
    assert found.verdict in {Verdict.LEAK, Verdict.CANNOT_TELL}


def test_every_verdict_says_that_a_vacuum_replaces_no_leak_test() -> None:
    for microns in (levelling(600.0, tau_s=60.0), straight(60.0), straight(60.0)[:3]):
        found = judge_decay(decay(microns, MINUTES[: len(microns)]))
        assert any("does not replace a leak test" in one for one in found.cautions)


def test_the_unit_of_time_and_the_number_of_readings_do_not_change_the_rate() -> None:
    fine = np.arange(0.0, 1201.0, 1.0)
    coarse = judge_decay(decay(straight(5.0)))
    many = judge_decay(decay(300.0 + 5.0 * fine, fine))
    assert many.verdict is coarse.verdict is Verdict.LEAK
    assert many.rate_pa_s == pytest.approx(coarse.rate_pa_s, rel=0.01)


def test_the_fit_finds_the_curve_that_was_drawn() -> None:
    shapes = fit_shapes(MINUTES, levelling(1_500.0, tau_s=240.0), 0.1)
    assert shapes.plateau.best == pytest.approx(1_500.0, rel=0.01)
    assert shapes.plateau.lowest <= 1_500.0 <= shapes.plateau.highest * 1.001
    assert shapes.time_constant_s == pytest.approx(240.0, rel=0.15)
    line = fit_shapes(MINUTES, straight(2.0), 0.1)
    assert line.best is line.straight
    assert line.straight.rate == pytest.approx(2.0, rel=1e-9)
    assert line.straight.level == pytest.approx(2_700.0, rel=1e-9)
    assert line.plateau.lowest > 5.0 * 2_700.0


def test_the_uncertainty_of_the_rate_is_that_of_repeated_holds() -> None:
    # Over 400 holds with the same scatter the rates spread as one hold says they do.
    rng = np.random.default_rng(3)
    fits = [
        fit_shapes(MINUTES, straight(2.0) + 10.0 * rng.standard_normal(21), 0.1).straight for _ in range(400)
    ]
    spread = np.std([fit.rate for fit in fits])
    assert np.median([fit.rate_uncertainty for fit in fits]) == pytest.approx(spread, rel=0.15)
