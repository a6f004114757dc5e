"""The match sheet, explanations, differences and published figures in words, in both unit systems."""

from __future__ import annotations

import pytest

from knowngood.units import System
from knowngood_checkup.core.checkup import Car, check
from knowngood_checkup.core.explain.arguments import Argument
from knowngood_checkup.core.explain.evidence import Signal
from knowngood_checkup.core.explain.faults import Fault
from knowngood_checkup.core.explain.inference import Weighed
from knowngood_checkup.core.left import Change, Difference, Pair
from knowngood_checkup.core.published import PublishedComparison, PublishedFigure
from knowngood_checkup.explain_words import argument_words, hidden_words, percent, size_words, standing_words
from knowngood_checkup.left_words import difference_cells, summary
from knowngood_checkup.published_words import published_lines
from knowngood_checkup.sheet_words import repeat_words, sheet_rows
from knowngood_refdata.expected.likeness import Condition, Grade, Likeness, MatchSheet
from knowngood_refdata.expected.outcome import Outcome
from knowngood_refdata.records import CompressorKind, Estimate, Findings, Quantity

from .healthy_cars import SUMMER, book, window

AIR_PA = 101_325.0
WARM = Likeness(Condition.AMBIENT, Grade.DIFFERS, 320.0, (298.15, 308.15), reach=(292.15, 314.15))
DOORS = Likeness(Condition.DOORS, Grade.DIFFERS, words_here="open", words_there="closed 9", wanted="closed")
STAGE = Likeness(Condition.FAN_STAGE, Grade.DIFFERS, 2.0, (1.0, 1.0), reach=(0.9, 1.1))
SHORT_RUN = Likeness(Condition.RUN_TIME, Grade.DIFFERS, 60.0, (900.0, 1200.0), reach=(600.0, float("inf")))


@pytest.mark.parametrize(
    ("line", "system", "said"),
    [
        (WARM, System.SI, "with ambient between 19.0 °C and 41.0 °C"),
        (WARM, System.US, "with ambient between 66.2 °F and 105.8 °F"),
        (DOORS, System.SI, "with doors closed"),
        (STAGE, System.US, "with fan stage at 1"),
        (SHORT_RUN, System.SI, "of running"),
        (Likeness(Condition.FAN_STAGE, Grade.NOT_RECORDED), System.SI, "with fan stage recorded"),
    ],
)
def test_how_to_repeat_a_test_is_told_in_the_units_of_the_screen(
    line: Likeness, system: System, said: str
) -> None:
    assert said in repeat_words(MatchSheet((line,), 9), system)


def test_a_test_that_compares_needs_no_repeating() -> None:
    line = Likeness(Condition.SUN, Grade.DIFFERS, words_here="sun on the car")
    assert repeat_words(MatchSheet((line,), 9), System.SI) == ""


def test_the_sheet_shows_each_condition_here_and_there() -> None:
    rows = sheet_rows(MatchSheet((WARM, DOORS), 9), System.SI)
    assert rows[0] == ("ambient", "46.9 °C", "25.0 to 35.0 °C", "differs")
    assert rows[1] == ("doors", "open", "closed 9", "differs")


@pytest.mark.parametrize(
    ("size", "word"), [(None, ""), (0.4, "slight"), (1.0, "of common size"), (2.0, "large"), (4.0, "gross")]
)
def test_a_size_is_told_beside_the_common_one(size: float | None, word: str) -> None:
    assert size_words(Weighed(Fault.UNDERCHARGE, 0.5, size)) == word


def test_a_probability_is_never_told_as_certain() -> None:
    assert [percent(one) for one in (0.0, 0.005, 0.5, 0.995, 1.0)] == [
        "< 1 %",
        "< 1 %",
        "50 %",
        "> 99 %",
        "> 99 %",
    ]


def test_a_value_is_told_beside_what_it_should_be_under_the_explanation() -> None:
    one = Argument("idle", Signal.SUPERHEAT, 5.0, 4.0, 2.0)
    assert argument_words(one, System.SI) == (
        "idle: superheat 5.0 K above what is expected; with this, about 4.0 K above what is expected"
    )
    assert "9.0 °F above" in argument_words(one, System.US)


def test_what_a_load_cannot_tell_is_named_with_the_load_that_can() -> None:
    known, vehicle = book(CompressorKind.EXTERNAL_VARIABLE)
    windows = (window(), window(1560.0))
    explained = check(known, Car(vehicle, None, SUMMER), Findings(windows), {}).explained
    assert explained is not None
    for line in hidden_words(explained):
        assert line.startswith("This session cannot tell ")
        assert "What can: " in line
    assert standing_words(None).startswith("Not enough is known")


def test_a_difference_is_told_with_its_uncertainty_and_marked_when_corrected() -> None:
    one = Difference(
        Quantity.SUBCOOLING, Estimate(1.0, 0.5), Estimate(9.0, 0.5), Estimate(8.0, 0.707), corrected=True,
        verdict=Change.IMPROVED,
    )  # fmt: skip
    cells = difference_cells(one, System.SI, AIR_PA, AIR_PA)
    assert cells[:3] == ["subcooling", "1.0 K", "9.0 K"]
    assert cells[3].endswith("*")
    assert "1.4" in cells[3]
    assert cells[4] == "improved"
    assert summary([Pair(window(), window(), (one,))]) == "Of 1 values: 1 improved."


def test_nothing_is_called_improved_that_only_stayed() -> None:
    one = Difference(
        Quantity.VENT, Estimate(280.0, 0.5), Estimate(280.5, 0.5), Estimate(0.5, 0.7), corrected=True,
        verdict=Change.SAME,
    )  # fmt: skip
    assert "improved" not in summary([Pair(window(), window(), (one,))])


def test_a_published_figure_is_told_with_its_source_and_what_differs() -> None:
    figure = PublishedFigure(Quantity.VENT, None, 284.15, Outcome.INSIDE)
    found = [
        PublishedComparison("Test at idle", "TM 5", False, (figure,), ("doors",)),
        PublishedComparison("General chart", "", True, (), (), "ambient lies outside its rows"),
    ]
    first, second = published_lines(found, System.SI, AIR_PA)
    assert first == (
        "Published: Test at idle (TM 5): vent temperature inside (at most 11.0 °C). "
        "Its set-up differs in doors."
    )
    assert second == (
        "Published: General chart: not comparable, ambient lies outside its rows. "
        "A general figure, not of this vehicle."
    )
