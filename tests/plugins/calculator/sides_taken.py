"""R-134a at 2 and 50 °C, taken with good and with perfect instruments, and what is read off a side."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from knowngood_calculator.core.instruments import digital_gauge
from knowngood_calculator.core.probes import PROBE_CLASSES, own_probe
from knowngood_refdata.records import PressureInstrument
from knowngood_refdata.refrigerants import saturation

if TYPE_CHECKING:
    from knowngood_calculator.core.sides import Side

R134A = saturation("R-134a")
LOW_PA, HIGH_PA = R134A.pressure_pa(275.15), R134A.pressure_pa(323.15)
PROBES = {one.name: one for one in PROBE_CLASSES}
GOOD_LOW, GOOD_HIGH, GOOD_PROBE = digital_gauge(0.25, 20e5), digital_gauge(0.25, 50e5), own_probe(0.5)
EXACT = PressureInstrument(0.0, 50e5)


def value(side: Side) -> float:
    assert side.answer.value is not None
    return side.answer.value


def limit(side: Side) -> float:
    """Root-sum-square of the limits: √3 times the standard uncertainty."""
    assert side.answer.standard_uncertainty is not None
    return side.answer.standard_uncertainty * math.sqrt(3.0)


def remarks(side: Side) -> str:
    return "; ".join(one.sentence(lambda found: f"{found.value:.1f} K") for one in side.remarks)
