"""From instrument class to the uncertainty of superheat and subcooling."""

from __future__ import annotations

import math

import pytest

from knowngood_refdata.records import Instruments, PressureInstrument, Thermometer
from knowngood_refdata.refrigerants import saturation
from knowngood_refdata.uncertainty import (
    clamp_bias_k,
    pressure_limit_pa,
    pressure_standard_uncertainty_pa,
    subcooling_estimate,
    superheat_estimate,
    thermometer_standard_uncertainty_k,
)

# Limits of superheat and subcooling at 2 °C and 50 °C for R-134a by hand: pressure limit (EN 837-1 class
# times span) times 9.0 and 3.0 K/bar, with the probe's limit (IEC 60584-1) added as squares.
SETS = {
    "class 1.6 gauges, type K class 2": (1.6, 10e5, 1.6, 35e5, 2.5, 2.9, 3.0),
    "class 1.0 gauges, type K class 1": (1.0, 10e5, 1.0, 35e5, 1.5, 1.7, 1.8),
    "digital 0.5 % of full scale": (0.5, 35e5, 0.5, 50e5, 0.5, 1.6, 0.9),
    "digital 0.25 % of full scale": (0.25, 20e5, 0.25, 50e5, 0.5, 0.7, 0.6),
}


@pytest.mark.parametrize("case", SETS.values(), ids=SETS.keys())
def test_the_limits_of_common_instrument_sets(case: tuple[float, ...]) -> None:
    low_class, low_span, high_class, high_span, probe, superheat, subcooling = case
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
    assert warm.standard_uncertainty * math.sqrt(3) == pytest.approx(superheat, abs=0.1)
    assert cold.standard_uncertainty * math.sqrt(3) == pytest.approx(subcooling, abs=0.1)
    assert warm.value == pytest.approx(6.0, abs=1e-6)
    assert cold.value == pytest.approx(6.0, abs=1e-6)


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
