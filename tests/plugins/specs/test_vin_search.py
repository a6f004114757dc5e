"""A VIN laid beside vehicles, and what it tells in words; makes and VINs are made up."""

from __future__ import annotations

from knowngood_refdata.records import Vehicle
from knowngood_refdata.vin import read_vin
from knowngood_refdata.vin_points import Known
from knowngood_specs.core.vin_search import fit_line, judge, new_vehicle, told

AMERICAN = read_vin("1ZTAB1CBXNF012345", today_year=2026)
EARLY = Vehicle(1, "Tarn", "Skerry", "1.6 petrol", 2021, 2023, build_to="2022-05", vin_pattern="1ZTAB1CB")
LATE = Vehicle(2, "Tarn", "Skerry", "1.6 petrol", 2021, 2023, build_from="2022-06", vin_pattern="1ZTAB1CB")
OLD = Vehicle(3, "Tarn", "Skerry", "1.6 petrol", 2010, 2015)


def test_vehicles_of_other_years_are_left_out_and_counted() -> None:
    outcome = judge(AMERICAN, (OLD, EARLY, LATE), Known())
    assert {fit.vehicle.id for fit in outcome.fits} == {1, 2}
    assert outcome.excluded == 1


def test_every_answer_names_what_it_leaves() -> None:
    question = judge(AMERICAN, (EARLY, LATE), Known()).question
    assert question is not None
    left = {answer.words: [fit.vehicle.id for fit in answer.left] for answer in question.answers}
    assert left == {"up to May 2022": [1], "from June 2022": [2]}


def test_the_build_month_settles_a_split() -> None:
    outcome = judge(AMERICAN, (EARLY, LATE), Known(build_month="2022-07"))
    assert outcome.question is None
    (fit,) = outcome.fits
    assert fit.vehicle.id == 2
    assert fit_line(fit).startswith("certain: The VIN fits the pattern 1ZTAB1CB")


# 49 CFR 565, the sample VIN of Table V: its check digit is 4, its model year 2005 (5 in position 10).
def test_the_sample_vin_of_the_regulation_is_told_in_words() -> None:
    lines = dict(told(read_vin("1G4AH59H45G118341", today_year=2026)))
    assert lines["Check digit"] == "4, agrees"
    assert lines["Model year"] == "2005"
    assert lines["Region"] == "North America, United States"
    assert lines["Serial number"] == "118341"


def test_a_wrong_check_digit_is_told_with_the_one_that_would_agree() -> None:
    lines = dict(told(read_vin("1G4AH59H55G118341", today_year=2026)))
    assert lines["Check digit"] == "5, wrong: 4 would agree"


def test_a_vin_that_cannot_be_used_tells_nothing() -> None:
    assert told(read_vin("1G4")) == ()


def test_a_new_vehicle_takes_over_what_the_vin_tells() -> None:
    assert new_vehicle(AMERICAN) == {"year_from": "2022", "year_to": "2022", "vin_pattern": "1ZTAB1CB"}
    assert new_vehicle(read_vin("")) == {}
