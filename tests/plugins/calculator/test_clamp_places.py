"""What superheat and subcooling mean where the clamp sits, behind an internal heat exchanger or not."""

from __future__ import annotations

import pytest

from knowngood_calculator.core.clamp_places import (
    EXCHANGER_SUPERHEAT_K,
    LiquidPlace,
    SuctionPlace,
    superheat_behind_exchanger_k,
)
from knowngood_calculator.core.readings import LineTaken, PressureTaken
from knowngood_calculator.core.sides import subcooling_side, superheat_side

from .sides_taken import GOOD_HIGH, GOOD_LOW, GOOD_PROBE, HIGH_PA, LOW_PA, R134A


@pytest.mark.parametrize(
    ("effectiveness", "superheat_k"), [(0.0, 5.0), (0.2, 13.5), (0.4, 21.9), (0.6, 30.3)]
)
def test_an_internal_heat_exchanger_brings_13_to_30_kelvin(effectiveness: float, superheat_k: float) -> None:
    # From a cycle with CoolProp 8.0, R-134a, 2 / 55 °C, 5 K superheat and 6 K subcooling before it; there the
    # effectiveness is of enthalpy, which makes up to a tenth of a kelvin.
    found = superheat_behind_exchanger_k(5.0, effectiveness, 273.15 + 49.0, 273.15 + 7.0)
    assert found == pytest.approx(superheat_k, abs=0.15)
    if effectiveness in (0.2, 0.6):
        assert any(found == pytest.approx(end, abs=0.6) for end in EXCHANGER_SUPERHEAT_K)


@pytest.mark.parametrize(
    ("place", "exchanger", "superheat_k", "words"),
    [
        (SuctionPlace.EVAPORATOR_OUTLET, True, 20.0, "high at the evaporator outlet"),
        (SuctionPlace.AFTER_EXCHANGER, None, 20.0, "normal behind an internal heat exchanger, not normal"),
        (SuctionPlace.COMPRESSOR_INLET, True, 20.0, "normal behind an internal heat exchanger, not normal"),
        (SuctionPlace.COMPRESSOR_INLET, False, 20.0, "high for a system without"),
        (SuctionPlace.COMPRESSOR_INLET, None, 20.0, "usual behind an internal heat exchanger, high without"),
        (SuctionPlace.COMPRESSOR_INLET, True, 35.0, "high even behind an internal heat exchanger"),
        (SuctionPlace.COMPRESSOR_INLET, False, 8.0, ""),
        (
            SuctionPlace.EVAPORATOR_OUTLET,
            None,
            -9.0,
            "the suction line cannot be colder than the evaporating temperature",
        ),
    ],
)
def test_what_a_superheat_means_depends_on_the_place(
    place: SuctionPlace, exchanger: bool | None, superheat_k: float, words: str
) -> None:
    line = LineTaken(275.15 + superheat_k, GOOD_PROBE)
    found = superheat_side(R134A, PressureTaken(LOW_PA, GOOD_LOW), line, place, exchanger).answer.words
    assert found.startswith(words) if words else found == ""


@pytest.mark.parametrize(
    ("place", "exchanger", "subcooling_k", "words"),
    [
        (LiquidPlace.CONDENSER_OUTLET, True, 6.0, ""),
        (LiquidPlace.AFTER_RECEIVER, None, 1.0, "little is normal behind a receiver"),
        (LiquidPlace.AFTER_RECEIVER, None, 6.0, ""),
        (LiquidPlace.BEFORE_EXPANSION, True, 15.0, "holds what an internal heat exchanger adds"),
        (LiquidPlace.BEFORE_EXPANSION, None, 15.0, "may hold what an internal heat exchanger adds"),
        (LiquidPlace.BEFORE_EXPANSION, False, 15.0, ""),
        (LiquidPlace.BEFORE_EXPANSION, True, -9.0, "negative: liquid and vapour together"),
    ],
)
def test_what_a_subcooling_means_depends_on_the_place(
    place: LiquidPlace, exchanger: bool | None, subcooling_k: float, words: str
) -> None:
    line = LineTaken(323.15 - subcooling_k, GOOD_PROBE)
    found = subcooling_side(R134A, PressureTaken(HIGH_PA, GOOD_HIGH), line, place, exchanger).answer.words
    assert found.startswith(words) if words else found == ""
