"""Which configurations fit a VIN. Makes and VINs are made up; the rules are those of 49 CFR 565."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.records import Vehicle
from knowngood_refdata.vin import Vin, read_vin
from knowngood_refdata.vin_characters import ALPHABET, LENGTH, check_digit
from knowngood_refdata.vin_fitting import Fit, Grade, fitting
from knowngood_refdata.vin_months import MonthSpan
from knowngood_refdata.vin_patterns import compare, patterns_in
from knowngood_refdata.vin_points import Known

TODAY = 2026


@dataclass(frozen=True, slots=True)
class Car:
    """A configuration as the library keeps it, as far as it is looked at here."""

    make: str = "Tarn"
    model: str = "Skerry"
    engine: str = "1.6 petrol"
    year_from: int = 2019
    year_to: int | None = 2023
    market: str = ""
    evaporators: str = ""
    build_from: str = ""
    build_to: str = ""
    vin_pattern: str = ""


def vin_of(text: str) -> Vin:
    """A VIN read with its check digit put right."""
    return read_vin(f"{text[:8]}{check_digit(text).computed}{text[9:]}", today_year=TODAY)


AMERICAN_2021 = vin_of("1ZTAB1CB0MF012345")
EUROPEAN = read_vin("WZTAB1CBZ00012345", today_year=TODAY)
BY_PATTERN = Car(vin_pattern="1ZTAB?C")


def only(vin: Vin, car: Car, known: Known | None = None) -> Fit[Car]:
    (fit,) = fitting(vin, [car], known or Known())
    return fit


def said(fit: Fit[Car]) -> str:
    return " ".join(fit.reasons)


def test_a_pattern_and_the_model_year_make_a_fit_certain() -> None:
    fit = only(AMERICAN_2021, BY_PATTERN)
    assert fit.grade is Grade.CERTAIN
    assert fit.reasons == ("The VIN fits the pattern 1ZTAB?C.", "Model year 2021 is in 2019–2023.")
    assert fit.years == (2021,)


def test_without_a_pattern_the_model_year_makes_it_possible_only() -> None:
    fit = only(AMERICAN_2021, Car())
    assert fit.grade is Grade.POSSIBLE
    assert "No VIN pattern is on record." in fit.reasons


def test_a_pattern_that_tells_the_maker_only_makes_nothing_certain() -> None:
    fit = only(AMERICAN_2021, Car(vin_pattern="1ZT"))
    assert fit.grade is Grade.POSSIBLE
    assert "tells the maker only" in said(fit)


@pytest.mark.parametrize(("first", "last"), [(2015, 2020), (2022, None)])
def test_a_model_year_outside_the_range_excludes(first: int, last: int | None) -> None:
    fit = only(AMERICAN_2021, replace(BY_PATTERN, year_from=first, year_to=last))
    assert fit.grade is Grade.EXCLUDED
    assert said(fit).startswith("Model year 2021 or 1991 is not in")


@pytest.mark.parametrize(("first", "last"), [(2021, 2021), (2021, None), (2010, 2021)])
def test_both_ends_of_a_year_range_belong_to_it(first: int, last: int | None) -> None:
    assert only(AMERICAN_2021, replace(BY_PATTERN, year_from=first, year_to=last)).grade is Grade.CERTAIN


def test_the_other_cycle_fits_only_a_heavy_vehicle() -> None:
    fit = only(AMERICAN_2021, replace(BY_PATTERN, year_from=1988, year_to=1995))
    assert fit.grade is Grade.POSSIBLE
    assert "as model year 1991 only, so only if over 10,000 lb" in said(fit)
    assert fit.months == MonthSpan("1990-01", "1991-12")


def test_a_pattern_that_contradicts_excludes_and_names_the_position() -> None:
    fit = only(AMERICAN_2021, Car(vin_pattern="1ZTAB?D"))
    assert fit.grade is Grade.EXCLUDED
    assert said(fit) == "The VIN does not fit 1ZTAB?D: position 7 is C, not D."


def test_one_of_several_patterns_is_enough() -> None:
    fit = only(AMERICAN_2021, Car(vin_pattern="1ZTAB?D 1ztab?c"))
    assert fit.grade is Grade.CERTAIN


def test_a_pattern_that_cannot_be_read_is_named_and_excludes_nothing() -> None:
    fit = only(AMERICAN_2021, Car(vin_pattern="1ZTOB%"))
    assert fit.grade is Grade.POSSIBLE
    assert "1ZTOB% on record cannot be read" in said(fit)


def test_a_partial_vin_leaves_the_rest_of_a_pattern_open() -> None:
    front = read_vin(AMERICAN_2021.characters[:10], today_year=TODAY)
    fit = only(front, Car(vin_pattern="1ZTAB?C???F"))
    assert fit.grade is Grade.POSSIBLE
    assert "position 11 is not known" in said(fit)
    assert only(front, BY_PATTERN).grade is Grade.CERTAIN


def test_the_last_eight_never_make_certain_but_can_contradict_a_pattern() -> None:
    tail = read_vin(AMERICAN_2021.characters[-8:], today_year=TODAY)
    assert only(tail, BY_PATTERN).grade is Grade.POSSIBLE
    assert only(tail, Car(vin_pattern="1ZTAB?C???G")).grade is Grade.EXCLUDED


def test_a_wrong_check_digit_keeps_a_fit_from_being_certain_and_is_named_when_it_excludes() -> None:
    characters = AMERICAN_2021.characters
    wrong = read_vin(f"{characters[:-1]}6", today_year=TODAY)
    assert wrong.check_ok is False
    assert only(wrong, BY_PATTERN).grade is Grade.POSSIBLE
    excluded = only(wrong, Car(vin_pattern="2"))
    assert excluded.grade is Grade.EXCLUDED
    assert "the VIN may be mistyped" in said(excluded)


def test_a_european_vin_excludes_no_year() -> None:
    for year in (1990, 2021):
        fit = only(EUROPEAN, Car(year_from=year, year_to=year))
        assert fit.grade is Grade.POSSIBLE
    with_code = read_vin("WZTAB1CBZM0012345", today_year=TODAY)
    fits = fitting(with_code, [Car(year_from=2015, year_to=2018), Car(year_from=2020, year_to=2022)])
    assert [fit.grade for fit in fits] == [Grade.POSSIBLE] * 2
    assert fits[0].vehicle.year_from == 2020
    assert "it may mean something else" in said(fits[1])


def test_a_european_year_character_settles_no_build_split() -> None:
    with_code = read_vin("WZTAB1CBZM0012345", today_year=TODAY)
    fit = only(with_code, Car(build_from="2022-06"))
    assert fit.grade is Grade.POSSIBLE
    assert "Only if built from June 2022." in fit.reasons


def test_a_pattern_with_its_year_character_makes_a_european_vin_certain() -> None:
    with_code = read_vin("WZTAB1CBZM0012345", today_year=TODAY)
    assert only(with_code, Car(vin_pattern="WZTAB")).grade is Grade.POSSIBLE
    assert only(with_code, Car(vin_pattern="WZTAB????M")).grade is Grade.CERTAIN


EARLY = replace(BY_PATTERN, build_to="2020-11")
LATE = replace(BY_PATTERN, build_from="2020-12")


def test_a_split_within_the_model_year_leaves_both_sides_possible() -> None:
    fits = fitting(AMERICAN_2021, [EARLY, LATE])
    assert {fit.grade for fit in fits} == {Grade.POSSIBLE}
    assert {"Only if built up to November 2020.", "Only if built from December 2020."} <= {
        reason for fit in fits for reason in fit.reasons
    }


@pytest.mark.parametrize(
    ("month", "fitting_one"), [("2020-11", EARLY), ("2020-12", LATE), ("2021-05", LATE), ("2020-01", EARLY)]
)
def test_the_build_month_settles_a_split(month: str, fitting_one: Car) -> None:
    first, second = fitting(AMERICAN_2021, [EARLY, LATE], Known(build_month=month))
    assert (first.vehicle, first.grade) == (fitting_one, Grade.CERTAIN)
    assert second.grade is Grade.EXCLUDED


@pytest.mark.parametrize(
    ("car", "grade"),
    [
        # 40 CFR 85.2304(a): model year 2021 is built from January 2020 to December 2021
        (replace(BY_PATTERN, build_to="2019-12"), Grade.EXCLUDED),
        (replace(BY_PATTERN, build_to="2020-01"), Grade.POSSIBLE),
        (replace(BY_PATTERN, build_from="2022-01"), Grade.EXCLUDED),
        (replace(BY_PATTERN, build_from="2021-12"), Grade.POSSIBLE),
        (replace(BY_PATTERN, build_from="2020-01", build_to="2021-12"), Grade.CERTAIN),
    ],
)
def test_the_months_of_a_model_year_settle_splits_outside_them(car: Car, grade: Grade) -> None:
    assert only(AMERICAN_2021, car).grade is grade


def test_a_build_month_that_cannot_belong_to_the_model_year_is_spoken_of() -> None:
    fit = only(AMERICAN_2021, BY_PATTERN, Known(build_month="2019-06"))
    assert fit.grade is Grade.POSSIBLE
    assert "model year 2021 is not built in June 2019" in said(fit)


@pytest.mark.parametrize("month", ["2021-13", "06/21", "soon"])
def test_a_build_month_in_another_form_is_refused_in_words(month: str) -> None:
    with pytest.raises(ValueError, match="Write it as year and month"):
        Known(build_month=month)


@pytest.mark.parametrize(("first", "last"), [("2022-13", ""), ("x", "y"), ("2022-06", "2021-01")])
def test_unreadable_build_months_on_record_exclude_nothing(first: str, last: str) -> None:
    fit = only(AMERICAN_2021, replace(BY_PATTERN, build_from=first, build_to=last))
    assert fit.grade is Grade.POSSIBLE
    assert "cannot be read" in said(fit)


def test_two_that_fit_alike_are_both_possible_only() -> None:
    dual = replace(BY_PATTERN, evaporators="dual evaporator")
    fits = fitting(AMERICAN_2021, [BY_PATTERN, dual])
    assert [fit.grade for fit in fits] == [Grade.POSSIBLE] * 2
    assert "1 other on record may fit as well." in fits[0].reasons


def test_a_twin_without_a_pattern_keeps_a_fit_from_being_certain() -> None:
    fits = fitting(AMERICAN_2021, [BY_PATTERN, Car(evaporators="dual evaporator")])
    assert fits[0].vehicle is BY_PATTERN
    assert {fit.grade for fit in fits} == {Grade.POSSIBLE}


def test_another_model_without_a_pattern_does_not_shake_a_certain_fit() -> None:
    fits = fitting(AMERICAN_2021, [Car(model="Fell"), BY_PATTERN])
    assert [fit.grade for fit in fits] == [Grade.CERTAIN, Grade.POSSIBLE]


SINGLE = Car(evaporators="single evaporator", market="Northland")
DUAL = Car(evaporators="dual evaporator", market="Southland")


@pytest.mark.parametrize(
    ("known", "left"),
    [
        (Known(evaporators="Dual evaporator"), DUAL),
        (Known(market="northland "), SINGLE),
    ],
)
def test_market_and_evaporators_narrow_when_the_words_are_on_record(known: Known, left: Car) -> None:
    fits = fitting(AMERICAN_2021, [SINGLE, DUAL], known)
    assert [(fit.vehicle, fit.grade) for fit in fits[:1]] == [(left, Grade.POSSIBLE)]
    assert fits[1].grade is Grade.EXCLUDED


def test_words_that_nobody_uses_exclude_nothing() -> None:
    fits = fitting(AMERICAN_2021, [SINGLE, DUAL], Known(market="EU", evaporators="front only"))
    assert [fit.grade for fit in fits] == [Grade.POSSIBLE] * 2
    assert "whether that is EU is open" in said(fits[0])


@pytest.mark.parametrize(
    ("words", "engines_left"),
    [
        ("1.6 petrol", {"1.6 petrol"}),
        ("1.6", {"1.6 petrol", "1.6 diesel"}),
        ("1,6 L gasoline", {"1.6 petrol"}),
        ("diesel", {"1.6 diesel", "2.0 diesel"}),
        ("turbo", {"1.6 petrol", "1.6 diesel", "2.0 diesel"}),
        ("", {"1.6 petrol", "1.6 diesel", "2.0 diesel"}),
    ],
)
def test_engine_words_narrow_by_size_and_fuel(words: str, engines_left: set[str]) -> None:
    cars = [Car(engine=engine) for engine in ("1.6 petrol", "1.6 diesel", "2.0 diesel")]
    fits = fitting(AMERICAN_2021, cars, Known(engine=words))
    assert {fit.vehicle.engine for fit in fits if fit.grade is not Grade.EXCLUDED} == engines_left


def test_the_engine_name_of_another_model_does_not_exclude_a_longer_name_here() -> None:
    cars = [Car(engine="1.6 petrol turbo"), Car(model="Fell", engine="1.6 petrol")]
    fits = fitting(AMERICAN_2021, cars, Known(engine="1.6 petrol"))
    assert {fit.grade for fit in fits} == {Grade.POSSIBLE}


def test_an_engine_not_on_record_is_kept() -> None:
    fit = only(AMERICAN_2021, Car(engine=""), Known(engine="2.0 diesel"))
    assert fit.grade is Grade.POSSIBLE
    assert "The engine is not on record." in fit.reasons


def test_every_attribute_given_makes_certain_without_a_pattern() -> None:
    known = Known(make="Tarn", model="Skerry", engine="1.6 petrol", market="Southland")
    assert only(AMERICAN_2021, DUAL, known).grade is Grade.POSSIBLE
    assert only(AMERICAN_2021, DUAL, replace(known, evaporators="dual evaporator")).grade is Grade.CERTAIN


def test_a_vin_with_problems_decides_nothing() -> None:
    fits = fitting(read_vin("<b>"), [BY_PATTERN, Car(year_from=1981, year_to=1981)])
    assert {fit.grade for fit in fits} == {Grade.POSSIBLE}
    assert "The VIN cannot be used." in said(fits[0])


def test_vehicles_of_the_library_are_graded_as_they_come() -> None:
    vehicle = Vehicle(
        7, "Tarn", "Skerry", "1.6 petrol", 2019, 2023, build_from="2020-12", vin_pattern="1ZTAB?C"
    )
    (fit,) = fitting(AMERICAN_2021, [vehicle], Known(build_month="2021-02"))
    assert (fit.vehicle.id, fit.grade) == (7, Grade.CERTAIN)


def test_no_vehicles_give_no_fits() -> None:
    assert fitting(AMERICAN_2021, []) == ()


def test_the_more_a_pattern_tells_the_higher_it_ranks() -> None:
    cars = [Car(), replace(BY_PATTERN, model="Fell"), replace(BY_PATTERN, vin_pattern="1ZTAB1CB")]
    fits = fitting(AMERICAN_2021, cars)
    assert [fit.vehicle.vin_pattern for fit in fits] == ["1ZTAB1CB", "1ZTAB?C", ""]


characters = st.text(ALPHABET, min_size=LENGTH, max_size=LENGTH)


@given(characters, st.sets(st.integers(0, LENGTH - 1)), st.integers(1, LENGTH))
def test_a_vin_fits_every_pattern_made_of_it(vin: str, hidden: set[int], length: int) -> None:
    pattern = "".join("?" if place in hidden else vin[place] for place in range(length))
    assert compare(read_vin(vin), pattern).full


@given(characters, st.integers(0, LENGTH - 1), st.sampled_from(ALPHABET))
def test_a_pattern_with_another_character_differs_there(vin: str, place: int, other: str) -> None:
    match = compare(read_vin(vin), vin[:place] + other + vin[place + 1 :])
    assert match.differs_at == (None if other == vin[place] else place + 1)


def test_patterns_longer_than_a_vin_or_with_other_letters_are_none() -> None:
    assert patterns_in("? " + "A" * 18 + " OIQ zz?\u0661 " + "a" * 17) == ("?", "A" * 17)
