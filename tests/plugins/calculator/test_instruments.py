"""The instruments to choose from, and which of them the uncertainty comes from."""

from __future__ import annotations

import math

import pytest

from knowngood_calculator.core.instruments import GAUGES, PROBES, dominating, gauge_share
from knowngood_refdata.records import Instruments, PressureInstrument, Thermometer
from knowngood_refdata.refrigerants import saturation

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
