"""The answers to the settling question and what each of them leaves; makes are made up."""

from __future__ import annotations

from knowngood_refdata.records import Vehicle
from knowngood_refdata.vin import read_vin
from knowngood_refdata.vin_fitting import fitting
from knowngood_refdata.vin_question import question_to_settle, settling_question

VIN = read_vin("WZTAB1CBZ00012345", today_year=2026)  # tells no model year


def left(*engines: str) -> dict[str, set[int]]:
    cars = [Vehicle(number, "Tarn", "Skerry", engine, 2019, 2023) for number, engine in enumerate(engines, 1)]
    question = settling_question(fitting(VIN, cars))
    assert question is not None
    return {answer.words: {fit.vehicle.id for fit in answer.left} for answer in question.answers}


def test_an_answer_leaves_its_own_and_what_is_not_on_record() -> None:
    assert left("1.6 petrol", "2.0 diesel", "") == {"1.6 petrol": {1, 3}, "2.0 diesel": {2, 3}}


def test_vehicles_that_differ_in_nothing_are_left_without_an_answer() -> None:
    cars = [Vehicle(number, "Tarn", "Skerry", "", 2019, 2023) for number in (1, 2)]
    question = settling_question(fitting(VIN, cars))
    assert question is not None
    assert question.answers == ()
    assert question.words.endswith("Which refrigerant and charge does the under-hood label print?")
    assert question_to_settle(fitting(VIN, cars)) == question.words


def test_one_vehicle_left_asks_nothing() -> None:
    assert settling_question(fitting(VIN, [Vehicle(1, "Tarn", "Skerry", "", 2019, 2023)])) is None
