"""Superheat and subcooling with instruments, air pressure, clamp and port, each on its own."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_calculator.core.answers import superheat
from knowngood_calculator.core.clamp_places import (
    EXCHANGER_SUPERHEAT_K,
    LiquidPlace,
    SuctionPlace,
    superheat_behind_exchanger_k,
)
from knowngood_calculator.core.clamps import Seat, reading_bias_k
from knowngood_calculator.core.instruments import (
    dial_gauge,
    digital_gauge,
)
from knowngood_calculator.core.probes import PROBE_CLASSES, own_probe
from knowngood_calculator.core.readings import Drop, LineTaken, Port, PressureTaken
from knowngood_calculator.core.sides import Side, subcooling_side, superheat_side
from knowngood_refdata.local_air import Barometer, barometer_at, measured_barometer
from knowngood_refdata.records import Instruments, PressureInstrument, Thermometer
from knowngood_refdata.refrigerants import saturation

R134A, R1234YF = saturation("R-134a"), saturation("R-1234yf")
LOW_PA, HIGH_PA = R134A.pressure_pa(275.15), R134A.pressure_pa(323.15)
PROBES = {one.name: one for one in PROBE_CLASSES}
GOOD_LOW, GOOD_HIGH, GOOD_PROBE = digital_gauge(0.25, 20e5), digital_gauge(0.25, 50e5), own_probe(0.5)
EXACT = PressureInstrument(0.0, 50e5)

shifts_pa = st.floats(0.0, 0.5e5)
seats = st.sampled_from(Seat)


def value(side: Side) -> float:
    assert side.answer.value is not None
    return side.answer.value


def limit(side: Side) -> float:
    """Root-sum-square of the limits: √3 times the standard uncertainty."""
    assert side.answer.standard_uncertainty is not None
    return side.answer.standard_uncertainty * math.sqrt(3.0)


def remarks(side: Side) -> str:
    return "; ".join(one.sentence(lambda found: f"{found.value:.1f} K") for one in side.remarks)


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
