"""The instruments to choose from, and which of them the uncertainty comes from."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_calculator.core.instruments import (
    EN_837_CLASSES,
    GAUGES,
    PROBES,
    dial_gauge,
    digital_gauge,
    dominating,
    gauge_share,
    what_dominates,
)
from knowngood_refdata.local_air import barometer_at, measured_barometer
from knowngood_refdata.propagation import Component
from knowngood_refdata.records import Instruments, PressureInstrument, Thermometer
from knowngood_refdata.refrigerants import saturation
from knowngood_refdata.uncertainty import pressure_limit_pa

R134A = saturation("R-134a")
LOW_PA = R134A.pressure_pa(275.15)


def test_a_low_side_transducer_of_wide_span_is_the_weak_link() -> None:
    wide, probe = PressureInstrument(0.5, 35e5), Thermometer(0.5)
    assert "mostly from the gauge" in dominating(R134A, LOW_PA, wide, probe)
    narrow = PressureInstrument(0.25, 10e5)
    assert "mostly from the clamp" in dominating(R134A, LOW_PA, narrow, Thermometer(2.5))


def test_the_share_of_the_gauge_is_that_of_its_variance() -> None:
    # By hand: 8.9 K/bar at 2 °C times 0.175 bar is 1.56 K against 0.5 K; squares 2.43 and 0.25.
    share = gauge_share(R134A, LOW_PA, PressureInstrument(0.5, 35e5), Thermometer(0.5))
    assert share == pytest.approx(2.43 / 2.68, abs=0.01)


def test_off_the_curve_nothing_is_said_of_the_uncertainty() -> None:
    gauge, probe = GAUGES[0].high, PROBES[0]
    assert dominating(R134A, 9e6, gauge, probe) == ""
    assert math.isnan(gauge_share(R134A, 9e6, gauge, probe))


def test_the_offered_probes_have_the_limits_of_the_standard() -> None:
    # IEC 60584-1 near 0 to 100 °C: type K 1.5 and 2.5 °C, type T 0.5 and 1.0 °C (from memory).
    limits = {probe.name: probe.limit_k for probe in PROBES}
    assert limits == {
        "type K, class 1": 1.5,
        "type K, class 2": 2.5,
        "type T, class 1": 0.5,
        "type T, class 2": 1.0,
    }


def test_a_high_side_gauge_spans_more_than_its_low_side_fellow() -> None:
    assert all(gauges.low.full_scale_pa < gauges.high.full_scale_pa for gauges in GAUGES)


def test_the_first_choice_is_what_a_session_takes_for_granted() -> None:
    usual = Instruments()
    assert (GAUGES[0].low.class_percent, GAUGES[0].low.full_scale_pa) == (1.6, usual.low.full_scale_pa)
    assert GAUGES[0].high.full_scale_pa == usual.high.full_scale_pa
    assert PROBES[0].limit_k == usual.line.limit_k


def test_the_classes_of_dial_gauges_are_those_of_the_standard() -> None:
    # EN 837-1 (from memory).
    assert EN_837_CLASSES == (0.1, 0.25, 0.6, 1.0, 1.6, 2.5, 4.0)
    limits = [pressure_limit_pa(dial_gauge(one, 10e5)) for one in EN_837_CLASSES]
    assert limits == pytest.approx([1e3, 2.5e3, 6e3, 10e3, 16e3, 25e3, 40e3])


def test_a_gauge_of_no_class_or_no_span_is_refused() -> None:
    with pytest.raises(ValueError, match=r"no class 1.5; the classes are 0.1, 0.25"):
        dial_gauge(1.5, 10e5)
    with pytest.raises(ValueError, match="full scale of a gauge is above zero"):
        dial_gauge(1.6, 0.0)
    with pytest.raises(ValueError, match="full scale of a gauge is above zero"):
        digital_gauge(0.5, math.nan)
    with pytest.raises(ValueError, match="never negative"):
        digital_gauge(0.5, 50e5, digits=-1, step_pa=1000.0)


def test_the_digits_of_a_display_add_to_its_percentage() -> None:
    # By hand: 0.5 % of 50 bar is 0.25 bar, and two digits of 0.01 bar are 0.02 bar.
    gauge = digital_gauge(0.5, 50e5, digits=2, step_pa=1000.0)
    assert pressure_limit_pa(gauge) == pytest.approx(0.27e5)
    assert pressure_limit_pa(digital_gauge(0.5, 50e5)) == pytest.approx(0.25e5)


def test_an_altitude_known_roughly_gives_an_air_pressure_known_roughly() -> None:
    # ASHRAE Fundamentals 2017, chapter 1, table 1: 89 875 Pa at 1,000 m, 95 461 at 500 m, 84 556 at 1,500 m.
    still = barometer_at(1000.0, 500.0, weather_pa=0.0)
    assert still.pressure_pa == pytest.approx(89_875.0, abs=1.0)
    assert still.standard_uncertainty_pa == pytest.approx((95_461 - 84_556) / 2 / math.sqrt(3), abs=1.0)
    windy = barometer_at(1000.0, 500.0)
    assert windy.standard_uncertainty_pa > still.standard_uncertainty_pa
    assert measured_barometer(98e3, 100.0).standard_uncertainty_pa == pytest.approx(57.735, abs=1e-3)


def test_the_part_that_dominates_is_named_with_its_cure() -> None:
    parts = [Component("gauge", 1.0, 1.0, 0.8), Component("clamp", 1.0, 0.5, 0.2)]
    assert what_dominates(parts, {"gauge": "a narrower span"}) == (
        "uncertainty mostly from the gauge (80 %): a narrower span would help, nothing else would"
    )


def test_two_parts_of_like_size_are_both_named_larger_first() -> None:
    parts = [Component("gauge", 1.0, 1.0, 0.4), Component("clamp", 1.0, 0.5, 0.6)]
    words = what_dominates(parts, {"clamp": "a better probe"})
    assert words == "uncertainty from the clamp (60 %) and the gauge (40 %): a better probe would help most"
    assert what_dominates([], {}) == ""


@given(share=st.floats(0.0, 1.0))
def test_the_general_words_name_the_same_part_as_those_for_two_inputs(share: float) -> None:
    gauge = PressureInstrument(math.sqrt(share), 1e6)
    probe = Thermometer(R134A.slope_k_per_pa(LOW_PA) * 1e4 * math.sqrt(1.0 - share))
    found = gauge_share(R134A, LOW_PA, gauge, probe)
    parts = [Component("gauge", 1.0, 1.0, found), Component("clamp", 1.0, 1.0, 1.0 - found)]
    for name in ("gauge", "clamp"):
        mostly = f"mostly from the {name}"
        assert (mostly in what_dominates(parts, {})) == (mostly in dominating(R134A, LOW_PA, gauge, probe))
