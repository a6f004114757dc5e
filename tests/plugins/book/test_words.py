"""The whole book in words: coverage, families, what stands apart, doubtful readings."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from knowngood.units import System
from knowngood_book.gather import Calibrated
from knowngood_book.words import (
    basis_rows,
    calibration_rows,
    family_rows,
    group_lines,
    headline,
    off_text,
    span_lines,
    suspect_lines,
)
from knowngood_refdata.expected.book import Book
from knowngood_refdata.expected.calibration import Asked, Calibration, LeftOut
from knowngood_refdata.expected.forecasts import Basis, Side, What
from knowngood_refdata.expected.patterns import FamilyPattern, Group
from knowngood_refdata.expected.spans import Span
from knowngood_refdata.expected.suspects import Suspect, SuspectLevel
from knowngood_refdata.records import Conditions, Estimate, Quantity, Reading, Standing

READING = Reading(
    1, 1, 1, None, datetime(2025, 6, 2, tzinfo=UTC), Conditions(), 780.0, 1, {}, Standing.KNOWN_GOOD
)


def asked(place: float | None, what: Quantity = Quantity.VENT, left_out: LeftOut = LeftOut.UNIT) -> Asked:
    return Asked(left_out, Basis.CONFIGURATION, what, READING, place)


def counted(*places: float | None) -> Calibrated:
    return Calibrated(Book.of([], []), Calibration(tuple(asked(one) for one in places)), ())


def test_coverage_is_counted_in_readings_and_percent() -> None:
    found = counted(*[0.5] * 18, 0.01, 0.99, None)
    row = next(one for one in calibration_rows(found) if one[0] == "vent temperature")
    assert row[1:] == ["18 of 20 (90 %)", "\N{EN DASH}", "1"]
    assert basis_rows(found) == [["its configuration", "18 of 20 (90 %)", "90 %"]]


@pytest.mark.parametrize(
    ("held", "word"), [(90, "as they should"), (80, "too narrow"), (100, "wider than need be")]
)
def test_the_headline_says_whether_ranges_are_too_narrow_or_too_wide(held: int, word: str) -> None:
    said = headline(counted(*[0.5] * held, *[0.999] * (100 - held)))
    assert f"held {held} of 100 readings left out ({held} %)" in said
    assert word in said


def test_without_cars_to_leave_out_nothing_is_claimed() -> None:
    assert "nothing could be left out" in headline(counted())


def test_a_family_is_shown_in_the_units_of_the_screen() -> None:
    family = FamilyPattern(
        "Tarn A", "Tarn", "fixed displacement", (1,), 6, 15,
        {Quantity.SUBCOOLING: Estimate(10.0, 0.5), Quantity.EVAPORATING: Estimate(273.15, 0.5)}, None,
    )  # fmt: skip
    (si,), (us,) = (family_rows([family], system) for system in (System.SI, System.US))
    assert si == ["Tarn A, fixed", "15 (6)", "10.0", "\N{EN DASH}", "\N{EN DASH}", "0.0", "\N{EN DASH}"]
    assert (us[2], us[5]) == ("18.0", "32.0")


def test_one_line_for_a_family_holds_its_spans_in_the_units_of_the_screen() -> None:
    spans: dict[What, Span] = {
        Quantity.SUBCOOLING: Span(8.0, 12.0, 4),
        Quantity.EVAPORATING: Span(273.15, 275.15, 4),
        Side.LOW: Span(-0.2, 0.1, 4),
    }
    spanned = FamilyPattern("Tarn A", "Tarn", "", (1,), 6, 15, {}, None, spans)
    without = FamilyPattern("Fen B", "Fen", "", (2,), 1, 2, {}, None)
    (si,), (us,) = (span_lines([spanned, without], system) for system in (System.SI, System.US))
    assert si == "Tarn A: subcooling 8.0 to 12.0 K, evaporating 0.0 to 2.0 °C; from 4 configurations."
    assert us == "Tarn A: subcooling 14.4 to 21.6 °F, evaporating 32.0 to 35.6 °F; from 4 configurations."


def test_only_families_that_share_a_group_are_said_to_behave_alike() -> None:
    lines = group_lines([Group(("A", "B"), {}, ("subcooling above the others",)), Group(("C",), {}, ())])
    assert lines == ["A, B behave alike: subcooling above the others."]


def test_answers_to_engine_speed_are_off_in_percent() -> None:
    assert off_text(0.0953, Side.LOW, System.US) == "+10 %"
    assert off_text(5.0, Quantity.SUPERHEAT, System.US) == "9.0 °F"


def suspect(what: What, off: float, probability: float, reason: str, number: int = 7) -> Suspect:
    name = f"reading {number} of 2025-06-02"
    return Suspect(SuspectLevel.READING, name, what, (1,), (number,), off, 6.0, probability, reason)


def test_a_doubtful_reading_is_named_with_the_likeliest_reason() -> None:
    reason = "it would fit if degrees Fahrenheit were entered as kelvins"
    (line,) = suspect_lines([suspect(Quantity.SUBCOOLING, 5.0, 0.97, reason)], System.SI)
    assert line == (
        "Reading 7 of 2025-06-02: subcooling 5.0 K off; a mistake with 97 %: "
        "it would fit if degrees Fahrenheit were entered as kelvins."
    )


def test_all_that_is_off_in_one_reading_for_one_reason_is_one_line() -> None:
    found = [
        suspect(Quantity.EVAPORATING, 3.0, 0.7, "a bad reading"),
        suspect(Quantity.VENT, 2.0, 0.9, "a bad reading", number=8),
        suspect(Side.LOW, 0.0953, 0.998, "a bad reading"),
        suspect(Quantity.VENT, 2.0, 0.9, "another one"),
    ]
    first, *others = suspect_lines(found, System.SI)
    assert first == (
        "Reading 7 of 2025-06-02: evaporating (low side) 3.0 K, low side a doubling of engine speed "
        "+10 % off; a mistake with over 99 %: a bad reading."
    )
    assert others == [
        "Reading 8 of 2025-06-02: vent temperature 2.0 K off; a mistake with 90 %: a bad reading.",
        "Reading 7 of 2025-06-02: vent temperature 2.0 K off; a mistake with 90 %: another one.",
    ]
