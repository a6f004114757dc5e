"""From instrument class to the uncertainty of superheat and subcooling."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from knowngood_refdata.records import Instruments, PressureInstrument, Thermometer
from knowngood_refdata.refrigerants import saturation, subcooling_k, superheat_k
from knowngood_refdata.uncertainty import (
    clamp_bias_k,
    combine,
    pressure_limit_pa,
    pressure_standard_uncertainty_pa,
    subcooling_estimate,
    superheat_estimate,
    thermometer_standard_uncertainty_k,
)

# Limits of superheat and subcooling at 2 °C and 50 °C for R-134a by hand: pressure limit (EN 837-1 class
# times span) times 9.0 and 3.0 K/bar, with the probe's limit (IEC 60584-1) added as squares. The last two
# figures are what the pressures alone bring, low side and high side.
SETS = {
    "class 1.6 gauges, type K class 2": (1.6, 10e5, 1.6, 35e5, 2.5, 2.9, 3.0, 1.4, 1.7),
    "class 1.0 gauges, type K class 1": (1.0, 10e5, 1.0, 35e5, 1.5, 1.7, 1.8, 0.9, 1.1),
    "digital 0.5 % of full scale": (0.5, 35e5, 0.5, 50e5, 0.5, 1.6, 0.9, 1.6, 0.8),
    "digital 0.25 % of full scale": (0.25, 20e5, 0.25, 50e5, 0.5, 0.7, 0.6, 0.5, 0.4),
}
HALF_A_DIGIT = 0.06


@pytest.mark.parametrize("case", SETS.values(), ids=SETS.keys())
def test_the_limits_of_common_instrument_sets(case: tuple[float, ...]) -> None:
    low_class, low_span, high_class, high_span, probe, superheat, subcooling, from_low, from_high = case
    curve = saturation("R-134a")
    instruments = Instruments(
        low=PressureInstrument(low_class, low_span),
        high=PressureInstrument(high_class, high_span),
        line=Thermometer(probe),
    )
    low, high = curve.pressure_pa(275.15), curve.pressure_pa(323.15)
    warm = superheat_estimate(curve, low, 281.15, instruments)
    cold = subcooling_estimate(curve, high, 317.15, instruments)
    # A limit is the root of three times the standard uncertainty of a rectangular distribution.
    assert warm.standard_uncertainty * math.sqrt(3) == pytest.approx(superheat, abs=HALF_A_DIGIT)
    assert cold.standard_uncertainty * math.sqrt(3) == pytest.approx(subcooling, abs=HALF_A_DIGIT)
    assert warm.value == pytest.approx(6.0, abs=1e-6)
    assert cold.value == pytest.approx(6.0, abs=1e-6)
    exact_probe = replace(instruments, line=Thermometer(0.0))
    alone = superheat_estimate(curve, low, 281.15, exact_probe).standard_uncertainty
    assert alone * math.sqrt(3) == pytest.approx(from_low, abs=HALF_A_DIGIT)
    alone = subcooling_estimate(curve, high, 317.15, exact_probe).standard_uncertainty
    assert alone * math.sqrt(3) == pytest.approx(from_high, abs=HALF_A_DIGIT)


@pytest.mark.parametrize("name", ["R-134a", "R-1234yf"])
def test_readings_that_err_at_random_within_the_limits_scatter_as_much_as_is_said(name: str) -> None:
    # The same question asked by drawing errors instead of by the slope: JCGM 101:2008, clause 7.
    curve, instruments, random = saturation(name), Instruments(), np.random.default_rng(3)

    def readings(true: float, limit: float) -> np.ndarray:
        return true + random.uniform(-limit, limit, 200_000)

    low = readings(curve.pressure_pa(275.15), pressure_limit_pa(instruments.low))
    warm = superheat_k(curve, low, readings(281.15, instruments.line.limit_k))
    said = superheat_estimate(curve, curve.pressure_pa(275.15), 281.15, instruments)
    assert warm.std() == pytest.approx(said.standard_uncertainty, rel=0.01)
    high = readings(curve.pressure_pa(323.15), pressure_limit_pa(instruments.high))
    cold = subcooling_k(curve, high, readings(317.15, instruments.line.limit_k))
    said = subcooling_estimate(curve, curve.pressure_pa(323.15), 317.15, instruments)
    assert cold.std() == pytest.approx(said.standard_uncertainty, rel=0.01)


def test_above_the_critical_pressure_there_is_neither_value_nor_uncertainty() -> None:
    curve = saturation("R-1234yf")
    for found in (
        superheat_estimate(curve, curve.critical_pa * 1.01, 300.0, Instruments()),
        subcooling_estimate(curve, curve.critical_pa * 1.01, 300.0, Instruments()),
    ):
        assert math.isnan(found.value)
        assert math.isnan(found.standard_uncertainty)


def test_independent_contributions_add_as_squares() -> None:
    # JCGM 100:2008, example H.1: the end gauge's contributions [nm] give 31.7, printed 32.
    assert combine(25.0, 16.599, 6.7, 5.8, 3.9, 2.88679) == pytest.approx(31.664, abs=1e-3)


def test_standard_uncertainty_of_a_class_is_its_limit_over_root_three() -> None:
    # JCGM 100:2008, 4.3.7.
    gauge = PressureInstrument(1.0, 35e5)
    assert pressure_limit_pa(gauge) == 35_000
    assert pressure_standard_uncertainty_pa(gauge) == pytest.approx(20_207.26, abs=0.01)
    assert thermometer_standard_uncertainty_k(Thermometer(1.5)) == pytest.approx(0.8660, abs=1e-4)


@pytest.mark.parametrize(
    ("seen", "suction", "liquid"), [(0.02, 1.0, 0.3), (0.05, 2.6, 0.8), (0.10, 5.2, 1.5), (0.15, 7.8, 2.2)]
)
def test_a_clamp_in_a_warm_bay_reads_too_warm(seen: float, suction: float, liquid: float) -> None:
    # By hand: a suction pipe at 8 °C and a liquid pipe at 45 °C in a bay of 60 °C.
    assert clamp_bias_k(seen, 281.15, 333.15) == pytest.approx(suction, abs=0.06)
    assert clamp_bias_k(seen, 318.15, 333.15) == pytest.approx(liquid, abs=0.06)


def test_a_clamp_in_a_warm_bay_makes_a_full_system_look_short_of_charge() -> None:
    curve, bay = saturation("R-134a"), 333.15
    suction, liquid = 281.15, 318.15
    low, high = curve.pressure_pa(275.15), curve.pressure_pa(323.15)
    seen_suction = suction + clamp_bias_k(0.1, suction, bay)
    seen_liquid = liquid + clamp_bias_k(0.1, liquid, bay)
    assert superheat_k(curve, low, seen_suction) > superheat_k(curve, low, suction) + 5.0
    assert subcooling_k(curve, high, seen_liquid) < subcooling_k(curve, high, liquid) - 1.0


@pytest.mark.parametrize("fraction", [-0.01, 1.01, 5.0])
def test_a_clamp_cannot_see_more_than_all_of_the_air(fraction: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        clamp_bias_k(fraction, 281.15, 333.15)
