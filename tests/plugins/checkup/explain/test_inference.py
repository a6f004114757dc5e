"""Explanations ranked: directions of the trade and of published studies, and what must always hold."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_checkup.core.explain.evidence import (
    CarKind,
    Deviation,
    Load,
    Observed,
    Signal,
    WindowDeviations,
)
from knowngood_checkup.core.explain.faults import PRIOR, Fault, possible
from knowngood_checkup.core.explain.inference import weigh
from knowngood_checkup.core.explain.loads import load_cases
from knowngood_refdata.records import CompressorKind
from knowngood_refdata.refrigerants import saturation

from .conftest import OFF

if TYPE_CHECKING:
    from .conftest import Make

PSI = 6_894.757
ATMOSPHERE_PA = 101_325.0
INTERNAL, EXTERNAL, FIXED = (
    CompressorKind.INTERNAL_VARIABLE,
    CompressorKind.EXTERNAL_VARIABLE,
    CompressorKind.FIXED,
)


def first(observed: Observed) -> str:
    return weigh(observed)[0].fault


def chance(observed: Observed, fault: str) -> float:
    return next((one.probability for one in weigh(observed) if one.fault == fault), 0.0)


def shift_k(before_psi: float, after_psi: float) -> float:
    """A change of a gauge pressure of R-134a as a change of saturation temperature."""
    curve = saturation("R-134a")
    before, after = (curve.temperature_k(psi * PSI + ATMOSPHERE_PA) for psi in (before_psi, after_psi))
    return float(after - before)


# Directions as the trade holds them, each against the same car under the same conditions
# (common practice, no source). Low, high, superheat, subcooling, vent.
SIGNS = [
    (Fault.UNDERCHARGE, FIXED, (-3.0, -5.0, 10.0, -6.0, 3.0)),
    (Fault.UNDERCHARGE, INTERNAL, (-0.5, -3.5, 8.0, -6.0, 2.0)),
    (Fault.CONDENSER_AIR, FIXED, (1.0, 7.0, 0.0, -0.5, 0.5)),
    (Fault.CONDENSER_AIR, INTERNAL, (0.0, 7.0, 0.0, 0.0, 0.0)),
    (Fault.EVAPORATOR_AIR, FIXED, (-4.0, -6.0, -1.0, 0.0, -5.0)),
    (Fault.EVAPORATOR_AIR, EXTERNAL, (4.0, -7.0, 0.0, -1.0, 0.0)),
    (Fault.RESTRICTION, FIXED, (-9.0, -3.0, 12.0, 4.0, 6.0)),
    (Fault.VALVE_OPEN, FIXED, (4.0, 0.0, -6.0, -0.5, 1.0)),
    (Fault.WEAK_COMPRESSOR, FIXED, (5.0, -5.0, 0.0, -0.5, 3.5)),
    (Fault.MINIMUM_STROKE, INTERNAL, (11.0, -10.0, 0.0, -2.0, 8.0)),
    (Fault.BLEND_DOOR, INTERNAL, (0.0, 0.0, 0.0, 0.0, 7.0)),
]


@pytest.mark.parametrize(("fault", "compressor", "moved"), SIGNS)
def test_the_directions_of_the_trade_lead_to_their_explanation(
    session: Make, fault: str, compressor: CompressorKind, moved: tuple[float, ...]
) -> None:
    assert first(session(moved, moved, compressor)) is fault


def test_a_car_inside_all_its_ranges_is_healthy(session: Make) -> None:
    assert first(session(OFF, OFF)) is Fault.HEALTHY
    assert chance(session(OFF, OFF), Fault.HEALTHY) > 0.8


def test_stuck_at_maximum_stroke_shows_where_a_healthy_car_regulates(session: Make) -> None:
    # Common practice, no source: it behaves as a fixed one, the low side dives as the engine is revved.
    observed = session(OFF, (-9.0, 6.0, 1.0, 0.0, -5.0), INTERNAL, full_stroke=(0.7, 0.1))
    assert first(observed) is Fault.MAXIMUM_STROKE


def test_a_set_point_may_drift_either_way(session: Make) -> None:
    for turn in (1.0, -1.0):
        moved = tuple(turn * one for one in (4.0, -2.0, 0.0, 0.0, 3.5))
        ranked = [one.fault for one in weigh(session(moved, moved, full_stroke=(0.05, 0.05)))]
        assert Fault.SET_POINT in ranked[:2]


def test_air_as_in_the_field_test_is_air_or_overcharge_until_the_gas_is_identified(session: Make) -> None:
    # Published field test with 7.7 % of air: high side 165 to 200 psi, low side 32 to 31 psi; the liquid line
    # does not know of the air, so the apparent subcooling rises with the high side.
    high = shift_k(165.0, 200.0)
    moved = (shift_k(32.0, 31.0), high, 0.5, high, 1.0)
    observed = session(moved, None, FIXED)
    assert {one.fault for one in weigh(observed)[:2]} == {Fault.AIR, Fault.OVERCHARGE}
    told = replace(observed, answers={"identifier": "much air"})
    assert first(told) is Fault.AIR
    assert chance(told, Fault.AIR) > 0.9


def test_a_quarter_of_the_charge_gone_within_the_reserve_is_not_called_out(session: Make) -> None:
    # Trade test of 2021, orifice-tube car, 25 % under the label: high side -2 psi, low side -3 psi, vent
    # +0.6 °F: within what gauges can tell, so only weighing tells.
    moved = (shift_k(30.0, 27.0), shift_k(160.0, 158.0), 0.3, -0.5, 0.33)
    ranked = weigh(session(moved, None, FIXED, spread_k=1.5))
    assert ranked[0].fault is Fault.HEALTHY
    assert chance(session(moved, None, FIXED, spread_k=1.5), Fault.RESERVE_LOW) > PRIOR[Fault.RESERVE_LOW]


def test_charge_shows_in_superheat_and_subcooling_before_it_shows_in_the_suction(session: Make) -> None:
    # Grace, Datta and Tassou 2005: superheat and subcooling depend strongly on charge, suction hardly.
    observed = session((0.0, -1.5, 6.0, -5.0, 0.5), None)
    assert first(observed) is Fault.UNDERCHARGE


def test_a_fixed_compressor_has_no_stroke_to_be_stuck(session: Make) -> None:
    kept = possible(CarKind(FIXED))
    assert not {Fault.MINIMUM_STROKE, Fault.MAXIMUM_STROKE, Fault.SET_POINT} & kept.keys()
    assert Fault.MINIMUM_STROKE not in {
        one.fault for one in weigh(session((12.0, -10.0, 0, -2.0, 9.0)[:5], None, FIXED))
    }


def test_without_a_window_nothing_is_learned(session: Make) -> None:
    for one in weigh(session(None)):
        assert one.probability == pytest.approx(PRIOR[Fault(one.fault)])


def test_what_fits_nothing_is_none_of_these(session: Make) -> None:
    odd = (-12.0, 14.0, -9.0, -14.0, 12.0)
    assert first(session(odd, odd)) is Fault.NONE_OF_THESE


def test_windows_may_come_in_any_order(session: Make) -> None:
    observed = session((0.0, -3.0, 7.0, -5.0, 1.0), (0.0, -2.0, 6.0, -6.0, 1.0))
    turned = replace(observed, windows=observed.windows[::-1])
    for one in weigh(observed):
        assert chance(turned, one.fault) == pytest.approx(one.probability)


def test_a_worse_instrument_is_less_sure(session: Make) -> None:
    moved = (0.0, -3.0, 6.0, -5.0, 1.0)
    sure, unsure = (chance(session(moved, None, spread_k=k), Fault.UNDERCHARGE) for k in (0.8, 3.0))
    assert sure > 0.9 > unsure


def test_a_larger_move_is_a_larger_size(session: Make) -> None:
    small, large = (
        next(
            one
            for one in weigh(session(tuple(k * part for part in (-0.5, -3.5, 7.5, -6.5, 2.5)), None))
            if one.fault is Fault.UNDERCHARGE
        )
        for k in (0.6, 1.6)
    )
    assert small.size is not None
    assert large.size is not None
    assert large.size > 1.5 * small.size


def test_full_stroke_at_speed_means_full_stroke_at_idle(session: Make) -> None:
    cases = list(load_cases(session(OFF, OFF).windows, CarKind(INTERNAL), Fault.UNDERCHARGE))
    assert sum(weight for weight, _ in cases) == pytest.approx(1.0, abs=1e-4)
    assert (Load.HOLDS_SUCTION, Load.FULL_STROKE) not in {loads for _, loads in cases}


def test_a_regulated_air_temperature_is_paid_for_by_a_diving_low_side(session: Make) -> None:
    # Common practice, no source: a control that wants its air drives a starved car to full stroke, so that
    # the low side falls with the engine speed; an internal control lets it regulate (it de-strokes).
    starved = (-9.0, -3.5, 16.0, 1.0, 2.0), (-12.0, -1.0, 22.0, 2.0, 1.5)
    full = (0.1, 0.1)
    assert first(session(*starved, EXTERNAL, full_stroke=full)) is Fault.RESTRICTION
    cases = list(load_cases(session(OFF, OFF).windows, CarKind(EXTERNAL), Fault.RESTRICTION))
    assert (Load.DRIVEN, Load.DRIVEN) in {loads for _, loads in cases}
    assert sum(weight for weight, _ in cases) == pytest.approx(1.0)
    for kind in (INTERNAL, FIXED):
        of_kind = load_cases(session(OFF, OFF).windows, CarKind(kind), Fault.RESTRICTION)
        assert Load.DRIVEN not in {load for _, loads in of_kind for load in loads}


def test_lost_charge_shows_in_subcooling_first_and_in_superheat_last(session: Make) -> None:
    # The plateau's lower edge: the condenser runs out of liquid, then the valve; superheat tells late.
    early, late = (0.0, -0.5, 1.0, -5.0, 0.3), (-2.0, -5.0, 18.0, -9.0, 4.0)
    sizes = []
    for moved in (early, late):
        best = weigh(session(moved, moved, full_stroke=(0.1, 0.1)))[0]
        assert best.fault is Fault.UNDERCHARGE
        assert best.size is not None
        sizes.append(best.size)
    assert sizes[1] > 1.5 * sizes[0]


def test_one_window_of_another_shape_does_not_kill_an_explanation(session: Make) -> None:
    # Overcharged, and at speed liquid slugs back: that window alone has another shape.
    observed = session((0.5, 6.0, -1.0, 6.5, 0.0), (4.0, 9.0, -6.0, 7.0, 0.5), INTERNAL)
    ranked = [one.fault for one in weigh(observed)]
    assert Fault.OVERCHARGE in ranked[:2]
    assert ranked[0] is not Fault.NONE_OF_THESE


def test_a_stroke_stuck_low_shows_less_the_faster_it_turns(session: Make) -> None:
    # A small stroke delivers in proportion to engine speed, a healthy regulating one the same at any.
    nears = session((14.0, -11.0, 0.0, -2.0, 9.0), (8.0, -7.0, 0.0, -1.0, 5.0), full_stroke=(0.1, 0.1))
    parts = session((8.0, -7.0, 0.0, -1.0, 5.0), (14.0, -11.0, 0.0, -2.0, 9.0), full_stroke=(0.1, 0.1))
    assert first(nears) is Fault.MINIMUM_STROKE
    assert chance(parts, Fault.MINIMUM_STROKE) < chance(nears, Fault.MINIMUM_STROKE)


def test_the_stroke_is_full_in_all_windows_of_one_speed_or_in_none(session: Make) -> None:
    windows = session(OFF, OFF).windows
    thrice = (windows[0], windows[1], replace(windows[0], octaves=0.06))
    for _, loads in load_cases(thrice, CarKind(INTERNAL), Fault.OVERCHARGE):
        assert loads[0] is loads[2]


numbers = st.floats(-60.0, 60.0)


@given(st.lists(numbers, min_size=5, max_size=5), st.sampled_from([None, *CompressorKind]))
def test_probabilities_add_up_whatever_was_read(values: list[float], kind: CompressorKind | None) -> None:
    signals = {signal: Deviation(value, 1.0) for signal, value in zip(Signal, values, strict=True)}
    ranked = weigh(Observed(CarKind(kind), (WindowDeviations("idle", 0.0, 0.4, signals),)))
    chances = [one.probability for one in ranked]
    assert sum(chances) == pytest.approx(1.0)
    assert chances == sorted(chances, reverse=True)
    assert np.isfinite(chances).all()
