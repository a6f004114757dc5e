"""What a clamp's seat lets through of the air around it, with its sign."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_calculator.core.clamps import Seat, reading_bias_k
from knowngood_calculator.core.instruments import dial_gauge
from knowngood_calculator.core.readings import LineTaken, PressureTaken
from knowngood_calculator.core.sides import subcooling_side, superheat_side

from .sides_taken import GOOD_HIGH, GOOD_LOW, GOOD_PROBE, HIGH_PA, LOW_PA, R134A, remarks

seats = st.sampled_from(Seat)


@pytest.mark.parametrize(
    ("seat", "suction", "liquid"),
    [(Seat.INSULATED, 1.0, 0.3), (Seat.BARE, 5.2, 1.5), (Seat.BARE_IN_HOT_BAY, 7.8, 2.2)],
)
def test_a_clamp_in_a_bay_of_60_degrees_errs_by_what_its_seat_lets_through(
    seat: Seat, suction: float, liquid: float
) -> None:
    # By hand: 2, 10 and 15 % of the difference of the air to pipes of 8 °C and 45 °C.
    for pipe_k, bias in ((281.15, suction), (318.15, liquid)):
        reading_k = pipe_k + seat.air_seen * (333.15 - pipe_k)
        assert reading_bias_k(seat, reading_k, 333.15) == pytest.approx(bias, abs=0.06)
        assert reading_k - reading_bias_k(seat, reading_k, 333.15) == pytest.approx(pipe_k)


@given(seat=seats, warmer_k=st.floats(1.0, 60.0), line_k=st.floats(276.0, 300.0))
def test_warm_air_makes_the_true_superheat_lower_and_the_true_subcooling_higher(
    seat: Seat, warmer_k: float, line_k: float
) -> None:
    line = LineTaken(line_k, GOOD_PROBE, seat, line_k + warmer_k)
    warm = superheat_side(R134A, PressureTaken(LOW_PA, GOOD_LOW), line)
    cold = subcooling_side(R134A, PressureTaken(HIGH_PA, GOOD_HIGH), line)
    assert warm.shift_k < 0.0 < cold.shift_k
    cool = superheat_side(R134A, PressureTaken(LOW_PA, GOOD_LOW), replace(line, air_k=line_k - warmer_k))
    assert cool.shift_k > 0.0


@given(seat=seats, air_k=st.floats(250.0, 350.0))
def test_the_interval_is_longer_on_the_side_of_the_bias_alone_and_the_value_stays(
    seat: Seat, air_k: float
) -> None:
    plain = LineTaken(283.15, GOOD_PROBE)
    without = superheat_side(R134A, PressureTaken(LOW_PA, GOOD_LOW), plain)
    side = superheat_side(R134A, PressureTaken(LOW_PA, GOOD_LOW), replace(plain, seat=seat, air_k=air_k))
    assert side.answer == without.answer
    interval, straight = side.interval_k(), without.interval_k()
    assert interval is not None
    assert straight is not None
    assert interval[0] == pytest.approx(straight[0] + min(side.shift_k, 0.0))
    assert interval[1] == pytest.approx(straight[1] + max(side.shift_k, 0.0))


def test_the_bias_is_told_with_its_sign_and_the_advice_to_insulate() -> None:
    line = LineTaken(286.35, GOOD_PROBE, Seat.BARE, 333.15)
    side = superheat_side(R134A, PressureTaken(LOW_PA, GOOD_LOW), line)
    assert "the true superheat is lower by up to 5.2 K" in remarks(side)
    assert "insulate it" in remarks(side)
    cold = subcooling_side(R134A, PressureTaken(HIGH_PA, dial_gauge(1.6, 35e5)), replace(line, line_k=318.15))
    assert "the true subcooling is higher by up to" in remarks(cold)
    assert "insulate it" not in remarks(cold)


def test_a_superheat_that_the_bias_could_eat_up_is_said_to_be_perhaps_none() -> None:
    # A pipe at the evaporating temperature of 2 °C under a bare clamp in air of 60 °C reads 7.8 °C.
    line = LineTaken(275.15 + 5.7, GOOD_PROBE, Seat.BARE, 333.15)
    side = superheat_side(R134A, PressureTaken(LOW_PA, GOOD_LOW), line)
    assert "superheat may in truth be zero" in remarks(side)
    drier = superheat_side(R134A, PressureTaken(LOW_PA, GOOD_LOW), replace(line, line_k=275.15 + 6.5))
    assert "zero" not in remarks(drier)
