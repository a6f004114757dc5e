"""Superheat and subcooling with instruments, air pressure, clamp and port, each on its own."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_calculator.core.answers import superheat
from knowngood_calculator.core.instruments import dial_gauge, digital_gauge
from knowngood_calculator.core.probes import own_probe
from knowngood_calculator.core.readings import Drop, LineTaken, Port, PressureTaken
from knowngood_calculator.core.sides import subcooling_side, superheat_side
from knowngood_refdata.local_air import Barometer, barometer_at, measured_barometer
from knowngood_refdata.records import Instruments, PressureInstrument, Thermometer
from knowngood_refdata.refrigerants import saturation

from .sides_taken import (
    EXACT,
    GOOD_HIGH,
    GOOD_LOW,
    GOOD_PROBE,
    HIGH_PA,
    LOW_PA,
    PROBES,
    R134A,
    limit,
    remarks,
    value,
)

shifts_pa = st.floats(0.0, 0.5e5)


@pytest.mark.parametrize(
    ("low", "high", "probe", "superheat_k", "subcooling_k"),
    [
        # By hand: 9.0 and 3.0 K/bar of R-134a at 2 and 50 °C times the limit of the gauge, with the limit of
        # the probe added as squares.
        (dial_gauge(1.6, 10e5), dial_gauge(1.6, 35e5), PROBES["type K, class 2"].at(281.0), 2.9, 3.0),
        (dial_gauge(1.0, 10e5), dial_gauge(1.0, 35e5), PROBES["type K, class 1"].at(281.0), 1.7, 1.8),
        (digital_gauge(0.5, 35e5), digital_gauge(0.5, 50e5), own_probe(0.5), 1.6, 0.9),
        (GOOD_LOW, GOOD_HIGH, GOOD_PROBE, 0.7, 0.6),
    ],
)
def test_the_limits_of_whole_sets(
    low: PressureInstrument,
    high: PressureInstrument,
    probe: Thermometer,
    superheat_k: float,
    subcooling_k: float,
) -> None:
    warm = superheat_side(R134A, PressureTaken(LOW_PA, low), LineTaken(281.15, probe))
    cold = subcooling_side(R134A, PressureTaken(HIGH_PA, high), LineTaken(317.15, probe))
    assert limit(warm) == pytest.approx(superheat_k, abs=0.06)
    assert limit(cold) == pytest.approx(subcooling_k, abs=0.06)
    assert value(warm) == pytest.approx(6.0, abs=1e-6)
    assert value(cold) == pytest.approx(6.0, abs=1e-6)


@pytest.mark.parametrize("line_k", [262.0, 274.5, 282.0, 295.0])
def test_without_further_knowledge_the_answer_is_the_quick_one(line_k: float) -> None:
    usual = Instruments()
    side = superheat_side(R134A, PressureTaken(LOW_PA, usual.low), LineTaken(line_k, usual.line))
    quick = superheat(R134A, LOW_PA, line_k, usual)
    assert side.answer.value == quick.value
    assert side.answer.standard_uncertainty == pytest.approx(quick.standard_uncertainty, rel=1e-5)
    assert (side.answer.words, side.answer.doubtful) == (quick.words, quick.doubtful)
    assert side.remarks == ()


def test_a_tenth_of_a_bar_of_suction_line_drop_is_nine_tenths_of_a_kelvin() -> None:
    # By hand from the slope at 2 °C, 9.0 K/bar: a port downstream of the clamp shows too much superheat.
    pressure = PressureTaken(LOW_PA, GOOD_LOW, port=Port.DOWNSTREAM, drop=Drop(0.1e5, 0.1e5))
    side = superheat_side(R134A, pressure, LineTaken(281.15, GOOD_PROBE))
    assert side.correction_k == pytest.approx(-0.9, abs=0.03)
    assert value(side) == pytest.approx(6.0 + side.correction_k)
    assert "lowered by 0.9 K for the pressure drop" in remarks(side)


@pytest.mark.parametrize(("name", "kelvin_per_bar"), [("R-134a", 3.0), ("R-1234yf", 3.2)])
def test_a_port_before_the_condenser_counts_its_drop_as_false_subcooling(
    name: str, kelvin_per_bar: float
) -> None:
    # Slopes at 50 °C from CoolProp 8.0.
    curve = saturation(name)
    pressure = PressureTaken(
        curve.pressure_pa(323.15), GOOD_HIGH, port=Port.UPSTREAM, drop=Drop(0.4e5, 0.4e5)
    )
    side = subcooling_side(curve, pressure, LineTaken(313.15, GOOD_PROBE))
    assert -side.correction_k / 0.4 == pytest.approx(kelvin_per_bar, abs=0.07)
    assert value(side) == pytest.approx(10.0 + side.correction_k)


@given(drop=shifts_pa, port=st.sampled_from((Port.UPSTREAM, Port.DOWNSTREAM)), line_k=st.floats(276.0, 300.0))
def test_a_pressure_taken_elsewhere_leads_back_to_that_at_the_clamp(
    drop: float, port: Port, line_k: float
) -> None:
    at_port = LOW_PA + drop if port is Port.UPSTREAM else LOW_PA - drop
    line = LineTaken(line_k, GOOD_PROBE)
    elsewhere = superheat_side(R134A, PressureTaken(at_port, GOOD_LOW, None, port, Drop(drop, drop)), line)
    at_clamp = superheat_side(R134A, PressureTaken(LOW_PA, GOOD_LOW), line)
    assert value(elsewhere) == pytest.approx(value(at_clamp), abs=1e-6)
    assert elsewhere.answer.standard_uncertainty == pytest.approx(limit(at_clamp) / math.sqrt(3.0), rel=1e-4)


def test_a_drop_known_only_as_a_range_adds_to_the_uncertainty() -> None:
    # By hand: from 0 to 0.2 bar is 0.1 ± 0.1 bar, 0.9 ± 0.9 K, standard uncertainty 0.52 K.
    pressure = PressureTaken(LOW_PA, EXACT, port=Port.DOWNSTREAM, drop=Drop(0.0, 0.2e5))
    side = superheat_side(R134A, pressure, LineTaken(281.15, own_probe(0.0)))
    assert limit(side) == pytest.approx(0.88, abs=0.03)
    assert side.correction_k == pytest.approx(-0.88, abs=0.03)
    assert "pressure drop to the port (100 %): a port at the clamp would help" in side.origin


@pytest.mark.parametrize(
    ("port", "warm", "cold"),
    [(Port.DOWNSTREAM, "superheat too high", "subcooling too low"), (Port.UPSTREAM, "too low", "too high")],
)
def test_a_drop_that_is_not_given_is_named_with_what_it_does(port: Port, warm: str, cold: str) -> None:
    low, high = (PressureTaken(pa, EXACT, port=port) for pa in (LOW_PA, HIGH_PA))
    assert warm in remarks(superheat_side(R134A, low, LineTaken(281.15, GOOD_PROBE)))
    assert cold in remarks(subcooling_side(R134A, high, LineTaken(317.15, GOOD_PROBE)))


@pytest.mark.parametrize("ends", [(-1.0, 0.0), (2.0, 1.0), (0.0, math.nan)])
def test_a_drop_with_its_ends_the_wrong_way_round_is_refused(ends: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="from a smaller to a larger value"):
        Drop(*ends)


@given(
    percent=st.floats(0.0, 4.0),
    probe_k=st.floats(0.0, 3.0),
    air_u=st.floats(0.0, 3e3),
    width=st.floats(0.0, 0.3e5),
    more=st.floats(1.05, 3.0),
)
def test_the_uncertainty_grows_with_that_of_each_input(
    percent: float, probe_k: float, air_u: float, width: float, more: float
) -> None:
    def spread(percent: float, probe_k: float, air_u: float, width: float) -> float:
        # The drop keeps its middle, so that only its range differs.
        drop = Drop(0.5e5 - width / 2, 0.5e5 + width / 2)
        gauge, air = PressureInstrument(percent, 10e5), Barometer(98e3, air_u)
        pressure = PressureTaken(LOW_PA, gauge, air, Port.DOWNSTREAM, drop)
        return limit(superheat_side(R134A, pressure, LineTaken(285.0, Thermometer(probe_k))))

    given_u = (percent, probe_k, air_u, width)
    before = spread(*given_u)
    for place, own in enumerate(given_u):
        grown = (*given_u[:place], own * more, *given_u[place + 1 :])
        assert spread(*grown) >= before * (1.0 - 1e-6)


@given(percent=st.floats(0.1, 4.0), probe_k=st.floats(0.1, 3.0), width=st.floats(0.0, 0.3e5))
def test_the_shares_of_the_inputs_add_up_to_one(percent: float, probe_k: float, width: float) -> None:
    pressure = PressureTaken(
        HIGH_PA, dial_gauge(1.6, 35e5), barometer_at(300.0, 100.0), Port.UPSTREAM, Drop(0.0, width)
    )
    pressure = replace(pressure, gauge=PressureInstrument(percent, 35e5))
    side = subcooling_side(R134A, pressure, LineTaken(315.0, Thermometer(probe_k)))
    assert {one.name for one in side.parts} == {"gauge", "air pressure", "pressure drop to the port", "clamp"}
    assert sum(one.share for one in side.parts) == pytest.approx(1.0)


def test_an_altitude_known_to_500_m_is_worth_half_a_kelvin_of_superheat() -> None:
    # By hand: 500 m are 0.055 bar at 1,000 m (ASHRAE Fundamentals 2017, chapter 1, table 1), at 9.0 K/bar.
    rough = barometer_at(1000.0, 500.0, weather_pa=0.0)
    side = superheat_side(R134A, PressureTaken(LOW_PA, EXACT, rough), LineTaken(281.15, own_probe(0.0)))
    assert limit(side) == pytest.approx(0.49, abs=0.02)
    assert "mostly from the air pressure (100 %): a reading of the local barometer" in side.origin


def test_an_instrument_that_reads_absolute_owes_nothing_to_the_air() -> None:
    side = superheat_side(R134A, PressureTaken(LOW_PA, GOOD_LOW), LineTaken(281.15, GOOD_PROBE))
    assert {one.name: one.share for one in side.parts}["air pressure"] == 0.0


def test_each_side_goes_by_its_own_instruments() -> None:
    poor = dial_gauge(4.0, 10e5)
    side = superheat_side(R134A, PressureTaken(LOW_PA, poor), LineTaken(281.15, GOOD_PROBE))
    assert "mostly from the gauge" in side.origin
    assert "narrower span would help" in side.origin
    side = superheat_side(R134A, PressureTaken(LOW_PA, GOOD_LOW), LineTaken(281.15, own_probe(2.5)))
    assert "mostly from the clamp" in side.origin
    assert "better probe would help" in side.origin


def test_off_the_curve_there_are_words_and_no_interval() -> None:
    for absolute_pa, words in ((4.2e6, "no saturation temperature"), (-1e4, "never zero or less")):
        side = subcooling_side(R134A, PressureTaken(absolute_pa, GOOD_HIGH), LineTaken(310.0, GOOD_PROBE))
        assert side.answer.value is None
        assert words in side.answer.words
        assert side.interval_k() is None
        assert side.parts == ()


def test_a_port_off_the_curve_says_nothing_of_the_size_of_its_correction() -> None:
    pressure = PressureTaken(4.1e6, GOOD_HIGH, port=Port.UPSTREAM, drop=Drop(1e5, 1e5))
    side = subcooling_side(R134A, pressure, LineTaken(360.0, GOOD_PROBE))
    assert side.answer.value is not None
    assert side.remarks == ()


def test_just_below_the_critical_point_the_uncertainty_is_still_a_number() -> None:
    pressure = PressureTaken(
        R134A.critical_pa * 0.9999, dial_gauge(1.6, 50e5), measured_barometer(1e5, 100.0)
    )
    side = subcooling_side(R134A, pressure, LineTaken(360.0, GOOD_PROBE))
    # By hand: d ln p / d ln T is near 7 at a critical point (van der Waals corresponding states, 7 to 7.5 for
    # fluids like this), so 0.8 bar are 1.0 K; with the 0.5 K of the probe 1.1 K.
    assert limit(side) == pytest.approx(1.1, abs=0.1)


def test_a_reading_beyond_the_full_scale_is_questioned() -> None:
    pressure = PressureTaken(12e5, dial_gauge(1.6, 10e5), measured_barometer(1e5, 100.0))
    assert "beyond the full scale" in remarks(superheat_side(R134A, pressure, LineTaken(330.0, GOOD_PROBE)))
    within = replace(pressure, absolute_pa=10.9e5)
    assert "beyond" not in remarks(superheat_side(R134A, within, LineTaken(330.0, GOOD_PROBE)))
