"""What is said of a fleet, in both unit systems, and what a report and a table of it hold."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import date, timedelta

import pytest
from tests.demo.fleet.readings import PUNT, WHERRY, reading, sisters

from knowngood.formatting import System
from knowngood_fleet.core.drift import Course, Drift, drift, visits
from knowngood_fleet.core.fleet import Counters, FleetUnit
from knowngood_fleet.core.leaks import Service, Work, leak
from knowngood_fleet.export import HEADINGS, csv_text
from knowngood_fleet.gather import Fleet, compared, looked_at
from knowngood_fleet.section import html
from knowngood_fleet.words import (
    counters_text,
    drift_text,
    flag_text,
    leak_text,
    outcome,
    rate_text,
    share_text,
    short_drift,
)
from knowngood_refdata.expected.book import Book
from knowngood_refdata.records import Quantity

START, TODAY = date(2024, 4, 1), date(2026, 4, 10)


def services(loss_kg: float, years: int = 1) -> tuple[Service, ...]:
    first = Service(START, Work.WEIGHED_IN, 1.0, left_share=0.0)
    later = [
        Service(START + timedelta(365 * (number + 1)), Work.WEIGHED_IN, 1.0, 1.0 - loss_kg, left_share=0.0)
        for number in range(years)
    ]
    return first, *later


def unit(loss_kg: float, **more: object) -> FleetUnit:
    made = FleetUnit(1, 1, "HL-901", "Tarn Wherry", "Quay", "city bus", 0.04, 1.0, services=services(loss_kg))
    return replace(made, **more)  # type: ignore[arg-type]


def test_a_loss_that_weighing_cannot_show_is_not_distinguishable_from_zero_in_either_system() -> None:
    found = leak(services(0.015))
    for system, other in ((System.SI, "oz"), (System.US, " g ")):
        said = leak_text(found, system)
        assert "not distinguishable from zero" in said
        assert "would not have shown" in said
        assert other not in said
    assert rate_text(found, System.SI) == "15 ± 24 g a year"


def test_a_flag_gives_its_reason_and_defers_to_local_law() -> None:
    said = flag_text(looked_at(unit(0.2), TODAY), System.SI)
    assert said.startswith("Repair before refill: it surely loses more than the 40 g a year")
    assert "Local law decides" in said
    assert "prevails" in said
    assert flag_text(looked_at(unit(0.01), TODAY), System.SI) == ""


def test_no_word_of_a_unit_gives_advice_by_pressure() -> None:
    said = html(looked_at(unit(0.2), TODAY), System.US).casefold()
    assert not any(word in said for word in ("psi", " bar", "until the pressure", "charge to"))


def test_weighings_that_contradict_each_other_are_told_as_such() -> None:
    assert "more came out than went in" in leak_text(leak(services(-0.2)), System.SI)
    uneven = (*services(0.01), Service(START + timedelta(800), Work.WEIGHED_IN, 1.0, 0.4, left_share=0.0))
    assert "no single rate fits" in leak_text(leak(uneven), System.SI)


def test_a_loss_is_also_told_as_a_share_of_the_charge() -> None:
    assert share_text(looked_at(unit(0.13), TODAY)) == "13 %"
    assert share_text(looked_at(unit(0.13, charge_kg=None), TODAY)) == "\N{EN DASH}"


def test_an_odometer_is_in_miles_or_kilometres() -> None:
    one = unit(0.1, counters=(Counters(TODAY, 8_100.0, 160_934.4),))
    assert counters_text(one, System.US) == "8,100 h, 100,000 mi"
    assert counters_text(one, System.SI) == "8,100 h, 160,934 km"


@pytest.fixture(scope="module")
def book() -> Book:
    return Book.of(sisters(), [WHERRY, PUNT])


def drifting(book: Book) -> tuple[Drift, ...]:
    own = [reading(number, 1, 182 * number, 30.0, more_subcooling_k=-1.2 * number) for number in range(5)]
    return compared(book, tuple(own))[0]


def test_a_drift_is_told_with_its_range_and_its_direction_once(book: Book) -> None:
    said = drift_text(drifting(book)[0], System.SI)
    assert "Subcooling falls against its sisters by 2." in said
    assert "\N{MINUS SIGN}" not in said
    assert "5 visits" in said
    assert "°F" in drift_text(drifting(book)[0], System.US)


def test_a_unit_is_compared_with_its_sisters_and_never_with_itself(book: Book) -> None:
    own = tuple(reading(number, 1, 30 * number, 30.0, more_subcooling_k=-6.0) for number in range(8))
    within = book.with_readings(own)
    for one in (book, within):
        _, against = compared(one, own)
        assert outcome(against[0]) == "below"
        assert against[0].expected.centre == pytest.approx(9.0, abs=0.6)
        assert len(against[0].sisters) == 24


def test_the_table_has_a_row_a_unit_and_marks_what_a_spreadsheet_might_run(book: Book) -> None:
    found = looked_at(unit(0.2, body="=HYPERLINK(1)"), TODAY, drifting(book))
    head, row = csv.reader(io.StringIO(csv_text(Fleet((found,), TODAY))))
    assert tuple(head) == HEADINGS
    told = dict(zip(head, row, strict=True))
    assert told["body"] == "'=HYPERLINK(1)"
    assert float(told["loss g a year"]) == pytest.approx(200, rel=0.01)
    assert told["refill flag"] == "repair before refill"
    assert float(told["subcooling drift K a year"]) == pytest.approx(-2.4, abs=0.4)
    assert told["subcooling drift verdict"] == "falls"


def test_the_part_of_the_report_escapes_every_text(book: Book) -> None:
    said = html(looked_at(unit(0.2, body="<b>bus"), TODAY, drifting(book)), System.SI)
    assert "<b>bus" not in said
    assert "&lt;b&gt;bus" in said
    assert "Subcooling falls" in said
    assert "Repair before refill" in said


def test_without_visits_nothing_is_said_to_drift(book: Book) -> None:
    none = drift(Quantity.SUBCOOLING, *visits(book, Quantity.SUBCOOLING, []))
    assert none.course is Course.UNKNOWN
    assert short_drift(looked_at(unit(0.1), TODAY, (none,))) == "\N{EN DASH}"
