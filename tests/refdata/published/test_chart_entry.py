"""Charts entered as the points read off them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood_refdata.published.charts import print_chart, read_chart
from knowngood_refdata.published.curves import Curves

if TYPE_CHECKING:
    from knowngood_refdata.published.table import PerformanceTable

POINTS = """RH % | Intake °C | Lower vent °C | Upper vent °C
50-60 | 20 | 4 | 8
 | 25 | 6 |
 | 35 | 12 | 20
60-70 | 20 | 6 | 10
 | 30 | | 18
 | 35 | 15 | 24"""


def test_points_read_off_become_lines_with_their_own_bends(chart: PerformanceTable) -> None:
    read = read_chart(POINTS).curves
    assert read is not None
    (expected,) = chart.parts
    assert isinstance(expected, Curves)
    assert read.bands == expected.bands
    assert read.along is expected.along


def test_a_chart_is_written_back_as_it_was_entered() -> None:
    read = read_chart(POINTS).curves
    assert read is not None
    written = print_chart(read)
    assert read_chart(written).curves == read
    assert written.splitlines()[2] == "50-60\t25\t6\t"


def test_the_upper_line_may_stand_first() -> None:
    ahead = read_chart("Intake °C;Upper vent °C;Lower vent °C\n20;8;4\n35;20;12").curves
    assert ahead == read_chart("Intake °C;Lower vent °C;Upper vent °C\n20;4;8\n35;12;20").curves
    assert ahead is not None


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "the last two headings"),
        ("Intake °C;Vent °C\n20;4", "the last two headings"),
        ("Intake °C;Lower vent °C;Upper high side psi\n20;4;8", "both lines are of one figure"),
        ("Noise;Lower vent °C;Upper vent °C\n20;4;8", "name what the chart goes by"),
        ("Intake;Lower vent °C;Upper vent °C\n20;4;8", "'Intake' has no unit"),
        ("Intake °C;Lower vent °C;Upper vent °C\n20;4-5;8\n25;5;9", "line 2: '4-5' is no single number"),
        ("Intake °C;Lower vent °C;Upper vent °C\n20;4;8", "at least two points"),
        ("Intake °C;Lower vent °C;Upper vent °C\n20;8;4\n25;9;5", "the lower line lies above"),
    ],
)
def test_what_is_no_chart_is_refused_in_words(text: str, words: str) -> None:
    pasted = read_chart(text)
    assert pasted.curves is None
    assert words in pasted.problem
