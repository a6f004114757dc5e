"""The question that tells the configurations left apart; makes are made up."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.vin import read_vin
from knowngood_refdata.vin_fitting import Grade, fitting
from knowngood_refdata.vin_months import MonthSpan, month_after, month_before, month_words, read_build_month
from knowngood_refdata.vin_points import Known
from knowngood_refdata.vin_question import question_to_settle

EUROPEAN = read_vin("WZTAB1CBZ00012345", today_year=2026)  # tells no model year
AMERICAN_2021 = read_vin("1ZTAB1CB6MF012345", today_year=2026)


@dataclass(frozen=True, slots=True)
class Car:
    """A configuration as the library keeps it, as far as it is looked at here."""

    engine: str = "1.6 petrol"
    build_from: str = ""
    build_to: str = ""
    market: str = ""
    evaporators: str = ""
    year_from: int = 2019
    year_to: int | None = 2023
    make: str = "Tarn"
    model: str = "Skerry"
    vin_pattern: str = ""


def asked(*cars: Car, known: Known | None = None, american: bool = False) -> str:
    return question_to_settle(fitting(AMERICAN_2021 if american else EUROPEAN, cars, known or Known()))


@pytest.mark.parametrize(
    ("cars", "question"),
    [
        (
            (Car(build_to="2022-05"), Car(build_from="2022-06")),
            "Which build month is on the door label: up to May 2022 or from June 2022?",
        ),
        ((Car(), Car(engine="2.0 diesel")), "Which engine does it have: 1.6 petrol or 2.0 diesel?"),
        (
            (Car(market="Northland"), Car(market="Southland")),
            "Which market was it built for: Northland or Southland?",
        ),
        (
            (Car(evaporators="single evaporator"), Car(evaporators="dual evaporator")),
            "Which evaporators does it have: dual evaporator or single evaporator?",
        ),
        ((Car(), Car(model="Fell")), "Which car is it: Tarn Fell or Tarn Skerry?"),
        (
            (Car(year_to=2020), Car(year_from=2021, year_to=None)),
            "Which model year is it: 2019–2020 or 2021 on?",
        ),
    ],
)
def test_what_differs_is_asked_for_with_its_alternatives(cars: tuple[Car, ...], question: str) -> None:
    assert asked(*cars) == question


def test_what_splits_most_evenly_is_asked_for() -> None:
    # evaporators leave 3 or 1 of the four, engines 2 or 2
    cars = (
        Car(engine="1.6 petrol", evaporators="single evaporator", market="Northland"),
        Car(engine="1.6 petrol", evaporators="single evaporator", market="Northland"),
        Car(engine="2.0 diesel", evaporators="single evaporator", market="Northland"),
        Car(engine="2.0 diesel", evaporators="dual evaporator", market="Northland"),
    )
    assert asked(*cars).startswith("Which engine")


def test_four_engines_are_asked_for_before_two_evaporators() -> None:
    sets = ("single evaporator", "dual evaporator") * 2
    cars = [Car(engine=f"{n}.0 diesel", evaporators=evaporators) for n, evaporators in enumerate(sets, 1)]
    assert asked(*cars) == "Which engine does it have: 1.0 diesel, 2.0 diesel, 3.0 diesel or 4.0 diesel?"


def test_of_equal_questions_the_quicker_one_at_the_car_is_asked() -> None:
    cars = (
        Car(market="Northland", evaporators="single evaporator"),
        Car(market="Southland", evaporators="dual evaporator"),
    )
    assert asked(*cars).startswith("Which evaporators")


def test_an_attribute_missing_on_one_record_does_not_look_like_a_split() -> None:
    # The market leaves 2 of the three under either answer, the engine leaves 1 or 2.
    cars = (Car(market="Northland", engine="2.0 diesel"), Car(market="Southland"), Car(market=""))
    assert asked(*cars).startswith("Which engine")


def test_overlapping_splits_are_asked_for_by_the_pieces_they_make() -> None:
    question = asked(
        Car(build_to="2021-12"), Car(build_from="2021-07", build_to="2022-06"), Car(build_from="2022-03")
    )
    assert question == (
        "Which build month is on the door label: up to June 2021, July 2021 to December 2021, "
        "January 2022 to February 2022, March 2022 to June 2022 or from July 2022?"
    )


def test_a_known_build_month_is_not_asked_for_again() -> None:
    cars = (Car(build_to="2022-05"), Car(engine="2.0 diesel"), Car(build_from="2022-06"))
    known = Known(build_month="2022-01")
    assert asked(*cars, known=known) == "Which engine does it have: 1.6 petrol or 2.0 diesel?"


def test_months_outside_the_model_year_are_not_asked_for() -> None:
    # Model year 2021 ends in December 2021, so the split in 2022 tells nothing; that of 2020 does.
    cars = (Car(build_to="2020-11"), Car(build_from="2020-12", build_to="2022-05"))
    assert AMERICAN_2021.model_years.definite == 2021
    assert asked(*cars, american=True) == (
        "Which build month is on the door label: up to November 2020 or from December 2020?"
    )


def test_a_model_year_that_the_vin_tells_is_not_asked_for() -> None:
    cars = (Car(year_to=2021), Car(year_from=2020, market="Northland"))
    assert "model year" not in asked(*cars, american=True)


def test_what_cannot_be_told_apart_is_sent_to_the_label() -> None:
    assert asked(Car(), Car()) == (
        "The 2 configurations left differ in nothing that can be asked for here. "
        "Which refrigerant and charge does the under-hood label print?"
    )


def test_many_alternatives_are_not_all_read_out() -> None:
    question = asked(*(Car(model=f"Fell {number}") for number in range(10)))
    assert question.endswith("Tarn Fell 5 or one of 4 others?")


@pytest.mark.parametrize("cars", [(), (Car(),)])
def test_nothing_is_asked_when_nothing_is_to_be_settled(cars: tuple[Car, ...]) -> None:
    assert asked(*cars) == ""


def test_nothing_is_asked_beside_a_certain_fit() -> None:
    vin = read_vin("1ZTAB1CB" + "4" + "MF012345", today_year=2026)
    assert vin.check is not None
    right = read_vin(f"1ZTAB1CB{vin.check.computed}MF012345", today_year=2026)
    fits = fitting(right, [Car(vin_pattern="1ZTAB1C"), Car(model="Fell")])
    assert [fit.grade for fit in fits] == [Grade.CERTAIN, Grade.POSSIBLE]
    assert question_to_settle(fits) == ""


def test_the_answer_to_the_question_narrows_what_is_left() -> None:
    cars = [
        Car(engine=engine, build_to=end) for engine in ("1.6 petrol", "2.0 diesel") for end in ("", "2022-05")
    ]
    assert asked(*cars).startswith("Which engine")
    left = fitting(EUROPEAN, cars, Known(engine="2.0 diesel"))
    assert [fit.vehicle.engine for fit in left if fit.grade is Grade.POSSIBLE] == ["2.0 diesel"] * 2
    assert question_to_settle(left).startswith("Which build month")


@pytest.mark.parametrize(
    ("text", "month"),
    [
        ("06/21", "2021-06"),
        ("6/2021", "2021-06"),
        ("2021-06", "2021-06"),
        ("Jun 2021", "2021-06"),
        ("SEPT. 98", "1998-09"),
        ("december-2009", "2009-12"),
        ("  ", ""),
    ],
)
def test_a_build_month_is_read_as_door_labels_print_it(text: str, month: str) -> None:
    assert read_build_month(text) == month


@pytest.mark.parametrize(
    "text", ["13/21", "0/2021", "soon", "Jux 2021", "2021", "\u0661/2021", "06/21/2021", "<b>"]
)
def test_what_is_no_build_month_is_refused_in_words(text: str) -> None:
    with pytest.raises(ValueError, match="Write it as on the door label"):
        read_build_month(text)


months = st.builds(lambda year, month: f"{year}-{month:02d}", st.integers(1980, 2039), st.integers(1, 12))


@given(months)
def test_the_month_before_the_month_after_is_the_month(month: str) -> None:
    assert month_before(month_after(month)) == month
    assert month_before(month) < month < month_after(month)
    assert read_build_month(month_words(month)) == month


ends = st.one_of(st.just(""), months)


@given(ends, ends, ends, ends, months)
def test_the_months_two_spans_share_are_those_in_both(a: str, b: str, c: str, d: str, month: str) -> None:
    one, other = MonthSpan.on_record(a, b), MonthSpan.on_record(c, d)
    shared = one.meet(other)
    single = MonthSpan(month, month)
    in_both = single.within(one) and single.within(other)
    assert in_both is (shared is not None and single.within(shared))
