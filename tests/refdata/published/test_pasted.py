"""Tables pasted as text."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.published.axes import Steps
from knowngood_refdata.published.grid import Grid
from knowngood_refdata.published.pasted import print_table, read_table
from knowngood_refdata.published.terms import Figure, Reference, Variable

if TYPE_CHECKING:
    from knowngood_refdata.published.table import PerformanceTable

ARMY = """Ambient °C | High side psi | Low side psi
21 | 120-190 | 10-20
27 | 140-210 | 10-25"""


def read(text: str) -> Grid:
    pasted = read_table(text)
    assert pasted.problems == ()
    assert pasted.grid is not None
    return pasted.grid


@pytest.mark.parametrize("mark", ["\t", "|", ";"])
def test_tabs_bars_and_semicolons_part_the_cells_alike(mark: str) -> None:
    assert read(ARMY.replace(" | ", mark)) == read(ARMY)


def test_a_framed_table_with_a_rule_is_read_like_a_bare_one() -> None:
    header, *rows = (f"| {line} |" for line in ARMY.splitlines())
    assert read("\n".join([header, "|---|:--|--:|", *rows])) == read(ARMY)


@pytest.mark.parametrize("name", ["army", "two_inlets", "generic", "static_gate"])
def test_every_grid_is_written_back_as_printed(name: str, request: pytest.FixtureRequest) -> None:
    table: PerformanceTable = request.getfixturevalue(name)
    for part in (*table.parts, *table.wider):
        assert isinstance(part, Grid)
        again = read(print_table(part))
        assert (again.cells, again.axes, again.columns) == (part.cells, part.axes, part.columns)


def test_a_crosswise_table_takes_its_variables_from_the_corner() -> None:
    grid = read(
        "Vent °C\n"
        "RH % (cabin intake) \\ Intake °C\t20\t25\n"
        "50-60\t6.0-8.0\t8.4-10.9\n"
        "60-70\t7.1-9.1\t10.9-13.4"
    )
    assert [axis.variable for axis in grid.axes] == [Variable.HUMIDITY, Variable.INTAKE]
    assert [axis.steps for axis in grid.axes] == [Steps.BINS, Steps.POINTS]
    printed = [cell.printed for row in grid.cells for cell in row if cell]
    assert printed == ["6.0-8.0", "8.4-10.9", "7.1-9.1", "10.9-13.4"]


def test_two_variables_in_rows_are_the_same_table_as_crosswise() -> None:
    crosswise = read("Vent °C\nRH % \\ Intake °C\t20\t25\n50-60\t6-8\t8-10\n60-70\t7-9\t")
    rows = read("RH %\tIntake °C\tVent °C\n50-60\t20\t6-8\n\t25\t8-10\n60-70\t20\t7-9")
    assert rows.cells == crosswise.cells
    assert crosswise.cells[3] == (None,)


def test_an_empty_condition_under_a_merged_cell_is_told() -> None:
    pasted = read_table("RH %\tIntake °C\tVent °C\n50-60\t20\t6-8\n\t25\t8-10")
    assert pasted.notes == ("line 3: the empty cell was taken as the one above it",)


def test_units_in_the_cells_serve_a_heading_without_one() -> None:
    grid = read("Ambient | High side\n21 °C | 120-190 psi\n27 °C | 140-210 psi")
    assert grid.columns[0].unit.symbol == "psi"
    assert grid.axes[0].stops[1].low == pytest.approx(300.15)


@pytest.mark.parametrize(
    ("heading", "figure", "unit", "reference"),
    [
        ("High side [psig]", Figure.HIGH_SIDE, "psi", Reference.GAUGE),
        ("Discharge pressure, kPa abs", Figure.HIGH_SIDE, "kPa", Reference.ABSOLUTE),
        ("Suction (bar)", Figure.LOW_SIDE, "bar", Reference.NOT_SAID),
        ("Discharge air °F", Figure.VENT, "°F", Reference.NOT_SAID),
        ("Low kg/cm2", Figure.LOW_SIDE, "kgf/cm²", Reference.NOT_SAID),
    ],
)
def test_a_heading_names_figure_unit_and_reference(
    heading: str, figure: Figure, unit: str, reference: Reference
) -> None:
    (column,) = read(f"{heading}\n10-20").columns
    assert (column.figure, column.unit.symbol, column.reference) == (figure, unit, reference)
    assert column.heading == heading


def test_a_comma_that_could_be_either_is_told() -> None:
    pasted = read_table("High side kPa\n1,204-1,471")
    assert pasted.notes == ("the comma in '1,204-1,471' was taken as grouping thousands",)
    decimal = read_table("Ambient °C | High side bar\n21 | 12,5-13,5\n27 | 14,125-15")
    assert "was taken as a decimal sign, as it is elsewhere in the table" in decimal.notes[0]
    assert decimal.grid is not None
    assert decimal.grid.cells[1][0] is not None
    assert decimal.grid.cells[1][0].low == pytest.approx(1_412_500.0)


def test_rows_in_falling_order_are_turned_and_told() -> None:
    pasted = read_table("Ambient °C | High psi\n27 | 140-210\n21 | 120-190")
    assert pasted.grid is not None
    assert [row[0].printed for row in pasted.grid.cells if row[0]] == ["120-190", "140-210"]
    assert pasted.notes == ("the rows were put in rising order of ambient",)


def test_a_condition_in_a_heading_is_not_lost_in_silence() -> None:
    assert "'RH 50-70 %'" in read_table("Ambient (RH 50-70 %) °C | High psi\n21 | 120-190").notes[0]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "there is no table"),
        ("High psi", "no row"),
        ("Noise dB | High psi\n1 | 120-190", "line 1, column 1: 'Noise dB' names nothing"),
        ("Ambient °C | Intake °C\n21 | 22", "no heading says what the table gives"),
        ("Ambient °C | High psi\n21", "line 2 has 1 cells under 2 headings"),
        ("Ambient °C | High psi\n21 | lots", "line 2: 'lots' is no number or range"),
        ("Ambient °C | High psi\n21 | 190-120", "line 2: the range '190-120' runs downwards"),
        ("Ambient °C | High psi\n21 | 120-190\n27 | 9-14 bar", "line 3: '9-14 bar' is in another unit"),
        ("Ambient °C | High\n21 | 120-190", "'High' has no unit of pressure"),
        ("Ambient | High psi\n70 °F | 120-190\n27 °C | 140-210", "several units"),
        ("Ambient °C | High psi\n21 | 120-190\n21 | 140-210", "line 3 has the same conditions"),
        ("Ambient °C | High psi\n21 | 120-190\n25-30 | 140-210", "does not fit"),
        ("Ambient °C | High bar\n21 | 1204-1471", "line 2: high side '1204-1471' bar is impossible"),
        ("RH % \\ Intake °C\t20\n50-60\t6-8", "say in a line above"),
        ("Vent °C\nRH % \\ Vent °C\t20\n50-60\t6-8", "must name two variables"),
    ],
)
def test_what_is_unclear_is_named_and_nothing_is_guessed(text: str, words: str) -> None:
    pasted = read_table(text)
    assert pasted.grid is None
    assert words in " / ".join(pasted.problems)


def test_every_bad_cell_is_named_at_once() -> None:
    problems = read_table("Ambient °C | High psi\n21 | lots\n27 | more").problems
    assert [problem[:7] for problem in problems] == ["line 2:", "line 3:"]


@given(st.text(alphabet="Ambient °CHighpsi|\t;\n0123456789-.,\\%RHVent", max_size=80))
def test_any_pasted_text_gives_a_grid_or_words(text: str) -> None:
    pasted = read_table(text)
    assert (pasted.grid is None) == bool(pasted.problems)
