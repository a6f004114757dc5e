"""What people see and type: units, digits, gauge and absolute, and the words of a refusal."""

from __future__ import annotations

import contextlib
import math
import re

import pint
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from knowngood import formatting
from knowngood.formatting import ParseError, System, parse, parse_with_tolerance, text
from knowngood.scales import kind_of, scale_of
from knowngood_refdata.quantities import UNITS, Kind, MeasuringUnit, standard_barometer_pa
from knowngood_refdata.records import Estimate, Quantity, Role

OUTSIDE: pint.UnitRegistry[float] = pint.UnitRegistry()
RANGES = {
    Kind.PRESSURE: (1e3, 40e5),
    Kind.TEMPERATURE: (200.0, 450.0),
    Kind.TEMPERATURE_DIFFERENCE: (-60.0, 60.0),
    Kind.MASS: (0.0, 20.0),
    Kind.LENGTH: (-400.0, 5000.0),
    Kind.VOLUME: (0.0, 1e-3),
    Kind.ROTATION: (0.0, 9000.0),
    Kind.FRACTION: (0.0, 1.0),
    Kind.TIME: (0.0, 1e5),
    Kind.SPECIFIC_ENERGY: (-2e5, 6e5),
    Kind.SPECIFIC_ENTROPY: (-500.0, 3e3),
    Kind.DENSITY: (0.1, 1500.0),
    Kind.SPECIFIC_VOLUME: (0.5, 2.0),
    Kind.VOLUMETRIC_CAPACITY: (0.0, 1e7),
    Kind.POWER: (0.0, 2e4),
    Kind.MASS_FLOW: (0.0, 1.0),
    Kind.VOLUME_FLOW: (0.0, 1.0),
    Kind.HUMIDITY_RATIO: (0.0, 0.1),
}
SUBJECTS = st.sampled_from(
    [*Kind, *Quantity, *formatting.Shown, *(role for role in Role if role is not Role.OTHER)]
)
BAROMETERS = st.floats(70_000.0, 105_000.0)


@st.composite
def subject_and_value(draw: st.DrawFn) -> tuple[formatting.Subject, float]:
    what = draw(SUBJECTS)
    return what, draw(st.floats(*RANGES[kind_of(what)]))


@given(subject_and_value(), st.sampled_from(System), BAROMETERS, st.booleans())
def test_what_is_shown_can_be_typed_again_and_means_the_same(
    case: tuple[formatting.Subject, float], system: System, barometer_pa: float, absolute: bool
) -> None:
    what, value_si = case
    shown = text(value_si, what, system, barometer_pa=barometer_pa, absolute=absolute)
    scale = scale_of(what, system)
    half_a_digit = 0.51 * 10.0**-scale.decimals * scale.unit.factor
    assume(kind_of(what) is not Kind.PRESSURE or value_si > half_a_digit)
    # The shown text names its unit, so the other system must read the same.
    for reader in System:
        again = parse(shown, what, reader, barometer_pa=barometer_pa)
        assert again == pytest.approx(value_si, abs=half_a_digit)


@given(st.sampled_from(UNITS), st.data())
def test_every_unit_of_a_kind_is_read_back(one: MeasuringUnit, data: st.DataObject) -> None:
    value_si = data.draw(st.floats(*RANGES[one.kind]))
    for name in (one.symbol, *one.aliases):
        typed = f"{one.from_si(value_si):.9f} {name}"
        assert parse(typed, one.kind, System.US, absolute=True) == pytest.approx(
            value_si, rel=1e-6, abs=1e-8 * one.factor
        )


@given(st.floats(-14.0, 500.0), BAROMETERS)
def test_a_gauge_pressure_typed_with_its_g_equals_the_absolute_less_the_air(
    gauge: float, barometer_pa: float
) -> None:
    assume(gauge * 6894.76 + barometer_pa > 0.0)
    by_gauge = parse(f"{gauge:.6f} psig", Kind.PRESSURE, System.SI, barometer_pa=barometer_pa)
    assert by_gauge - barometer_pa == pytest.approx(gauge * 6894.757, abs=1.0)


@pytest.mark.parametrize(
    ("typed", "kind", "unit", "magnitude"),
    [
        ("44.7 psia", Kind.PRESSURE, "psi", 44.7),
        ("2 bar abs", Kind.PRESSURE, "bar", 2.0),
        ("0,21 MPa abs", Kind.PRESSURE, "MPa", 0.21),
        ("75F", Kind.TEMPERATURE, "degF", 75.0),
        ("\N{MINUS SIGN}40 °C", Kind.TEMPERATURE, "degC", -40.0),
        ("16.6 oz", Kind.MASS, "oz", 16.6),
        ("1.5 lb", Kind.MASS, "lb", 1.5),
        ("2.7 fl oz", Kind.VOLUME, "floz", 2.7),
        ("787 ft", Kind.LENGTH, "ft", 787.0),
    ],
)
def test_a_typed_value_means_what_an_independent_library_of_units_says(
    typed: str, kind: Kind, unit: str, magnitude: float
) -> None:
    # Source: the pint package's table of units.
    base = {Kind.PRESSURE: "Pa", Kind.TEMPERATURE: "K", Kind.MASS: "kg", Kind.VOLUME: "m^3", Kind.LENGTH: "m"}
    outside = OUTSIDE.Quantity(magnitude, unit).to(base[kind]).magnitude
    assert parse(typed, kind, System.US) == pytest.approx(outside, rel=1e-6)


def test_the_same_gauge_reading_is_less_absolute_pressure_at_altitude() -> None:
    # ASHRAE Handbook, Fundamentals 2017, chapter 1, table 1: 84,556 Pa at 1,500 m.
    here = standard_barometer_pa(1500.0)
    low_pa = parse("30 psi", Role.LOW_SIDE, System.US, barometer_pa=here)
    assert low_pa == pytest.approx(30 * 6894.757 + 84_556, abs=10.0)
    assert text(low_pa, Role.LOW_SIDE, System.US, barometer_pa=here) == "30.0 psig"
    assert text(low_pa, Role.LOW_SIDE, System.US) == "27.6 psig"


def test_a_number_alone_is_taken_in_the_unit_on_display() -> None:
    assert parse("30", Kind.PRESSURE, System.US) == parse("30 psi", Kind.PRESSURE, System.SI)
    assert parse("2,1", Kind.PRESSURE, System.SI) == parse("2.1 bar", Kind.PRESSURE, System.US)
    assert parse("30", Kind.TEMPERATURE, System.SI) == pytest.approx(303.15)


def test_a_barometer_is_always_absolute() -> None:
    assert parse("29.92 inHg", Role.BAROMETER, System.US) == pytest.approx(101_325.0, abs=10.0)
    assert text(101_325.0, Role.BAROMETER, System.SI) == "101.3 kPa"
    assert text(101_325.0, Role.BAROMETER, System.US) == "29.92 inHg"


def test_a_vacuum_counts_down_from_the_local_air() -> None:
    outside = 101_325.0 - 20 * 3386.389
    assert parse("20 inHg vac", Kind.PRESSURE, System.US) == pytest.approx(outside, abs=1.0)


def test_pounds_and_ounces_add_up() -> None:
    assert parse("1 lb 4 oz", Kind.MASS, System.SI) == pytest.approx(20 * 0.028349523)


def test_a_change_of_pressure_is_not_shifted_by_the_air() -> None:
    assert text(-6894.757 * 3, Kind.PRESSURE, System.US, difference=True) == "\N{MINUS SIGN}3.0 psi"
    assert parse("-3 psi", Kind.PRESSURE, System.US, difference=True) == pytest.approx(-20_684.3, abs=0.1)


def test_a_change_of_temperature_is_not_shifted_by_the_ice_point() -> None:
    assert text(10.0, Kind.TEMPERATURE, System.US, difference=True) == "18.0 °F"
    assert parse("5 °C", Kind.TEMPERATURE_DIFFERENCE, System.US) == 5.0


@pytest.mark.parametrize(
    ("uncertainty", "shown"),
    # Particle Data Group, Review of Particle Physics, introduction, 5.3 (from memory): 0.827 ± 0.119 is
    # rounded to 0.83 ± 0.12, and 0.827 ± 0.367 to 0.8 ± 0.4.
    [
        (0.119, "0.83 ± 0.12 K"),
        (0.367, "0.8 ± 0.4 K"),
        (0.098, "0.83 ± 0.10 K"),
        (0.0213, "0.827 ± 0.021 K"),
        (2.93, "0.8 ± 2.9 K"),
        (4.6, "1 ± 5 K"),
        (12.3, "1 ± 12 K"),
    ],
)
def test_an_uncertainty_sets_the_digits_of_its_value(uncertainty: float, shown: str) -> None:
    assert text(0.827, Quantity.SUPERHEAT, System.SI, uncertainty_si=uncertainty) == shown


def test_an_estimate_is_shown_with_its_95_percent_uncertainty() -> None:
    # JCGM 100:2008, table G.1: a coverage factor of 1.96 for 95 %.
    assert formatting.estimate_text(Estimate(7.1, 1.0), Quantity.SUBCOOLING, System.SI) == "7.1 ± 2.0 K"


def test_the_uncertainty_of_a_temperature_is_a_difference() -> None:
    assert text(283.15, Quantity.VENT, System.US, uncertainty_si=1.0) == "50.0 ± 1.8 °F"


@pytest.mark.parametrize("missing", [None, math.nan, math.inf])
def test_a_missing_value_is_a_dash_and_no_number(missing: float | None) -> None:
    assert text(missing, Kind.PRESSURE, System.SI) == "\N{EN DASH}"


def test_a_value_that_rounds_to_nothing_has_no_minus_sign() -> None:
    assert text(-0.01, Kind.TEMPERATURE_DIFFERENCE, System.SI) == "0.0 K"


@pytest.mark.parametrize(
    ("typed", "kind", "words"),
    [
        ("", Kind.MASS, "no value"),
        ("warm", Kind.TEMPERATURE, "no number"),
        ("30 bar g", Kind.TEMPERATURE, "no unit of temperature; known are K, °C, °F"),
        ("5 psi", Kind.MASS, "no unit of mass"),
        ("1,200 rpm", Kind.ROTATION, "could mean 1200 or 1.200"),
        ("-300 °C", Kind.TEMPERATURE, "below absolute zero"),
        ("-20 psi", Kind.PRESSURE, "below a perfect vacuum"),
        ("-5 g", Kind.MASS, "cannot be"),
        ("1e999", Kind.PRESSURE, "too large"),
        ("1.2.3 bar", Kind.PRESSURE, "no number"),
        ("30 psi psi", Kind.PRESSURE, "no unit of pressure"),
        ("nan", Kind.PRESSURE, "no number"),
    ],
)
def test_a_text_that_is_no_value_is_refused_in_words(typed: str, kind: Kind, words: str) -> None:
    with pytest.raises(ParseError, match=re.escape(words)):
        parse(typed, kind, System.SI)


@given(st.text(max_size=20), st.sampled_from(Kind), st.sampled_from(System))
def test_any_text_gives_a_finite_value_or_a_refusal(typed: str, kind: Kind, system: System) -> None:
    with contextlib.suppress(ParseError):
        assert math.isfinite(parse(typed, kind, system))


@pytest.mark.parametrize(
    ("typed", "number"),
    [("1,200.5", 1200.5), ("1.200,5", 1200.5), ("1 200", 1200.0), ("0,200", 0.2), ("1,234,567", 1234567.0)],
)
def test_thousands_and_decimals_are_told_apart(typed: str, number: float) -> None:
    assert parse(typed, Kind.ROTATION, System.US) == number


@pytest.mark.parametrize("typed", ["470 ± 15 g", "470 g +/- 15", "470±15 g", "470 g ± 0,015 kg"])
def test_a_charge_is_read_with_its_tolerance(typed: str) -> None:
    assert parse_with_tolerance(typed, Kind.MASS, System.US) == pytest.approx((0.470, 0.015))


def test_a_charge_without_tolerance_has_none() -> None:
    assert parse_with_tolerance("0.47 kg", Kind.MASS, System.US) == (0.47, None)


def test_a_channel_of_no_known_role_has_no_kind() -> None:
    with pytest.raises(ValueError, match="no kind of quantity"):
        kind_of(Role.OTHER)
