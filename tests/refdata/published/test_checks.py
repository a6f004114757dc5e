"""What a table cannot be, and what is told as doubtful."""

from __future__ import annotations

from dataclasses import replace

import pytest

from knowngood_refdata.published.axes import Axis, Column, Limit, Steps
from knowngood_refdata.published.curves import Band, Curves, Vertex
from knowngood_refdata.published.grid import Grid
from knowngood_refdata.published.pasted import read_table
from knowngood_refdata.published.set_up import SetUp
from knowngood_refdata.published.span import Span, read_span
from knowngood_refdata.published.table import PerformanceTable, doubts
from knowngood_refdata.published.terms import BadTable, Figure, Reference, Variable
from knowngood_refdata.quantities import Kind, unit

CELSIUS = unit("°C", Kind.TEMPERATURE)
KPA = unit("kPa", Kind.PRESSURE)


def axis(steps: Steps, *stops: str) -> Axis:
    return Axis(Variable.AMBIENT, CELSIUS, tuple(read_span(stop, CELSIUS) for stop in stops), steps)


def table(text: str) -> PerformanceTable:
    grid = read_table(text).grid
    assert grid is not None
    return PerformanceTable("Any", (grid,))


@pytest.mark.parametrize(
    ("steps", "stops", "words"),
    [
        (Steps.POINTS, ("21", "27", "27"), "must rise"),
        (Steps.POINTS, ("27", "21"), "must rise"),
        (Steps.POINTS, ("21", "27-32"), "does not fit"),
        (Steps.BINS, ("20-26", "25-30"), "overlap"),
        (Steps.BINS, ("25-30", "20-25"), "must rise"),
        (Steps.BINS, (">20", "25-30"), "overlap"),
        (Steps.BINS, ("20-25", "30"), "does not fit"),
        (Steps.ABOVE, (">24", ">16"), "must rise"),
        (Steps.ABOVE, (">16", "20-25"), "does not fit"),
        (Steps.POINTS, (), "no rows"),
        (Steps.POINTS, ("21", "770"), "impossible"),
    ],
)
def test_rows_that_cannot_be_are_refused(steps: Steps, stops: tuple[str, ...], words: str) -> None:
    with pytest.raises(BadTable, match=words):
        axis(steps, *stops)


def test_touching_bins_and_open_outer_bins_are_accepted() -> None:
    assert len(axis(Steps.BINS, "<20", "20-25", "25-30", ">30").stops) == 4


@pytest.mark.parametrize(
    ("figure", "unit_", "text"),
    [
        (Figure.HIGH_SIDE, unit("bar", Kind.PRESSURE), "1204-1471"),
        (Figure.VENT, CELSIUS, "45-75"),
        (Figure.LOW_SIDE, KPA, "-150-200"),
        (Figure.SUPERHEAT, unit("K", Kind.TEMPERATURE_DIFFERENCE), "5-300"),
    ],
)
def test_a_value_that_no_system_shows_is_refused(figure: Figure, unit_: object, text: str) -> None:
    column = Column(figure, unit_)  # type: ignore[arg-type]
    with pytest.raises(BadTable, match="impossible"):
        Grid((column,), ((read_span(text, column.unit),),))


def test_an_absolute_pressure_below_a_vacuum_is_refused() -> None:
    column = Column(Figure.LOW_SIDE, KPA, Reference.ABSOLUTE)
    with pytest.raises(BadTable, match="below a vacuum"):
        Grid((column,), ((read_span("-20-50", KPA),),))


def test_a_unit_of_another_kind_is_refused() -> None:
    with pytest.raises(BadTable, match="unit of temperature"):
        Column(Figure.HIGH_SIDE, CELSIUS)
    with pytest.raises(BadTable, match="unit of pressure"):
        Limit(Variable.AMBIENT, KPA, Span("20", 293.15, 293.15))


def test_cells_must_fill_the_shape() -> None:
    column = Column(Figure.HIGH_SIDE, KPA)
    span = read_span("900-1,300", KPA)
    with pytest.raises(BadTable, match="2 rows by its conditions but 1"):
        Grid((column,), ((span,),), (axis(Steps.POINTS, "20", "25"),))
    with pytest.raises(BadTable, match="2 values for 1 columns"):
        Grid((column,), ((span, span),))
    with pytest.raises(BadTable, match="every cell"):
        Grid((column,), ((None,),))
    with pytest.raises(BadTable, match="twice"):
        Grid((column, column), ((span, span),))
    with pytest.raises(BadTable, match="two variables at most"):
        Grid((column,), ((span,),), (axis(Steps.POINTS, "20"),) * 3)


def vertices(*points: tuple[float, float]) -> tuple[Vertex, ...]:
    return tuple(Vertex(CELSIUS.to_si(along), CELSIUS.to_si(value)) for along, value in points)


@pytest.mark.parametrize(
    ("lower", "upper", "words"),
    [
        (vertices((20, 5)), vertices((20, 8), (30, 9)), "at least two points"),
        (vertices((30, 5), (20, 6)), vertices((20, 8), (30, 9)), "must rise along"),
        (vertices((20, 5), (30, 12)), vertices((20, 8), (30, 9)), "at 30 °C the lower line lies above"),
        # They cross only between the ends, at a bend of one of them.
        (
            vertices((20, 5), (25, 9), (30, 6)),
            vertices((20, 7), (30, 8)),
            "at 25 °C the lower line lies above",
        ),
        (vertices((20, 5), (300, 6)), vertices((20, 8), (30, 9)), "impossible"),
    ],
)
def test_lines_that_cannot_be_are_refused(
    lower: tuple[Vertex, ...], upper: tuple[Vertex, ...], words: str
) -> None:
    with pytest.raises(BadTable, match=words):
        Curves(Column(Figure.VENT, CELSIUS), Variable.INTAKE, CELSIUS, (Band(lower, upper),))


@pytest.mark.parametrize("change", [{"blower": 1.4}, {"run_time_s": -1.0}, {"soak_s": 1e9}])
def test_a_set_up_that_cannot_be_is_refused(change: dict[str, float]) -> None:
    with pytest.raises(BadTable, match="impossible"):
        SetUp(**change)  # type: ignore[arg-type]


@pytest.mark.parametrize("change", [{"title": " "}, {"parts": ()}])
def test_a_table_without_title_or_content_is_refused(
    army: PerformanceTable, change: dict[str, object]
) -> None:
    with pytest.raises(BadTable, match=r"title|empty"):
        replace(army, **change)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Ambient °C | High kPa gauge\n21-26 | 900-1,300\n27-32 | 1,100-1,600", "lies a gap"),
        ("Low kPa gauge | High psi gauge\n150-250 | 200-230", "different units"),
        ("Low kPa | High kPa\n150-250 | 1,370-1,570", "do not say gauge or absolute"),
        ("Low kPa gauge | High kPa gauge\n150-250 | 1,500", "one number without a range"),
        ("Low kPa gauge | High kPa gauge\n1,370-1,570 | 150-250", "swapped"),
    ],
)
def test_a_possible_slip_is_told(text: str, words: str) -> None:
    (told,) = doubts(table(text))
    assert words in told


def test_a_clean_table_raises_no_doubt() -> None:
    assert doubts(table("Ambient °C | Low kPa gauge | High kPa gauge\n20 | 150-250 | 900-1,300")) == ()
