"""Model years and build months as people write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_specs.core.importing.years import Months, Years, read_month, read_months, read_years


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("2021", 2021, 2021),
        ("2021.0", 2021, 2021),
        ("MY2021", 2021, 2021),
        ("2021-03-01", 2021, 2021),
        ("2019-2022", 2019, 2022),
        ("2019\N{EN DASH}22", 2019, 2022),
        ("2019/20", 2019, 2020),
        ("2019 to 2022", 2019, 2022),
        ("von 2019 bis 2022", 2019, 2022),
        ("2019, 2020, 2021", 2019, 2021),
        ("1998\N{EN DASH}02", 1998, 2002),
    ],
)
def test_years_and_ranges_are_read(text: str, first: int, last: int) -> None:
    read = read_years(text)
    assert (read.first, read.last) == (first, last)


@pytest.mark.parametrize("text", ["2019 on", "2019+", "2019-", "from 2019", "ab 2019", "2019 - present"])
def test_an_open_end_stays_open(text: str) -> None:
    assert read_years(text) == Years(2019, None)


@pytest.mark.parametrize(
    ("text", "first", "last", "words"),
    [
        ("21", 2021, 2021, "two digits"),
        ("98", 1998, 1998, "two digits"),
        ("19-22", 2019, 2022, "two digits"),
        ("2009-11", 2009, 2011, "may be a month"),
        ("2021-03", 2021, 2021, "may be a month"),
        ("2015, 2019", 2015, 2019, "leave some out"),
    ],
)
def test_what_can_be_meant_in_two_ways_is_read_with_a_doubt(
    text: str, first: int, last: int, words: str
) -> None:
    read = read_years(text)
    assert (read.first, read.last) == (first, last)
    assert words in read.doubt


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("3021", "3021 is no model year"),
        ("1885", "no model year"),
        ("44256", "date number"),
        ("2022-2019", "end before they begin"),
        ("soon", "no year"),
        ("2019-3021", "3021"),
    ],
)
def test_what_is_no_year_is_refused_in_words(text: str, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        read_years(text)


@pytest.mark.parametrize(
    ("text", "month"),
    [
        ("2021-07", "2021-07"),
        ("07/2021", "2021-07"),
        ("7.2021", "2021-07"),
        ("202107", "2021-07"),
        ("2021-07-31", "2021-07"),
        ("31.07.2021", "2021-07"),
        ("07/31/2021", "2021-07"),
        ("Jul 2021", "2021-07"),
        ("Juli 2021", "2021-07"),
    ],
)
def test_build_months_are_read(text: str, month: str) -> None:
    assert read_month(text) == Months(month, month)


def test_a_date_number_is_the_day_that_spreadsheets_count() -> None:
    # ECMA-376 part 1, 18.17.4.1 (from memory): 44256 is 1 March 2021.
    assert read_month("44256").first == "2021-03"


def test_a_date_that_can_be_two_months_is_read_with_a_doubt() -> None:
    assert "may be month 3 or 4" in read_month("03/04/2021").doubt
    assert read_month("03/03/2021").doubt == ""


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("03/2021 - 07/2022", "2021-03", "2022-07"),
        ("2021-03 to 2022-07", "2021-03", "2022-07"),
        ("from 07/2021", "2021-07", ""),
        ("to 06/2021", "", "2021-06"),
        ("06/2021", "2021-06", "2021-06"),
    ],
)
def test_both_ends_of_a_build_split_are_read(text: str, first: str, last: str) -> None:
    read = read_months(text)
    assert (read.first, read.last) == (first, last)


@pytest.mark.parametrize("text", ["13/2021", "2021-00", "Brumaire 2021", "07/2022 - 03/2021", "3021-05"])
def test_what_is_no_build_month_is_refused_in_words(text: str) -> None:
    with pytest.raises(ValueError, match="build month"):
        read_months(text)


@given(st.text(max_size=24))
def test_no_text_raises_anything_but_a_sentence(text: str) -> None:
    for read in (read_years, read_month, read_months):
        try:
            read(text)
        except ValueError as error:
            assert str(error).endswith(".")  # noqa: PT017 - any text may be refused, or read
