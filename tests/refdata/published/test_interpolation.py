"""What holds for every table: no answer beyond its neighbours, none beyond its ends."""

from __future__ import annotations

import json
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from knowngood_refdata.published.axes import Axis, Column, Steps
from knowngood_refdata.published.grid import Grid
from knowngood_refdata.published.lookup import SaysNothing, look_up
from knowngood_refdata.published.reading import from_document
from knowngood_refdata.published.set_up import SetUp
from knowngood_refdata.published.span import Span, read_span
from knowngood_refdata.published.table import PerformanceTable
from knowngood_refdata.published.terms import Circuit, Figure, Reference, Variable
from knowngood_refdata.published.writing import to_document
from knowngood_refdata.quantities import Kind, unit
from knowngood_refdata.records import AirSource, MeteringDevice, Opening

CELSIUS = unit("°C", Kind.TEMPERATURE)
PERCENT = unit("%", Kind.FRACTION)
KPA = unit("kPa", Kind.PRESSURE)


def spans(low: int = 0) -> st.SearchStrategy[Span]:
    edges = st.tuples(st.integers(low, 4_000), st.integers(0, 900))
    return edges.map(lambda pair: read_span(f"{pair[0]}-{pair[0] + pair[1]}", KPA))


def points(variable: Variable, lowest: int, highest: int) -> st.SearchStrategy[Axis]:
    unit_ = PERCENT if variable is Variable.HUMIDITY else CELSIUS
    numbers = st.lists(st.integers(lowest, highest), min_size=2, max_size=6, unique=True).map(sorted)
    return numbers.map(
        lambda stops: Axis(
            variable, unit_, tuple(read_span(f"{stop}", unit_) for stop in stops), Steps.POINTS
        )
    )


@st.composite
def grids(draw: st.DrawFn) -> Grid:
    axes = [draw(points(Variable.AMBIENT, -20, 60))]
    if draw(st.booleans()):
        axes.append(draw(points(Variable.HUMIDITY, 0, 100)))
    rows = 1
    for axis in axes:
        rows *= len(axis.stops)
    cells = draw(st.lists(spans(), min_size=rows, max_size=rows))
    column = Column(Figure.HIGH_SIDE, KPA, draw(st.sampled_from(Reference)))
    return Grid((column,), tuple((cell,) for cell in cells), tuple(axes))


def edge(span: Span) -> float:
    assert span.low is not None
    return span.low


@given(grids(), st.data())
def test_an_answer_lies_within_the_rows_around_it(grid: Grid, data: st.DataObject) -> None:
    at: dict[Variable, float] = {}
    around: list[list[int]] = []
    for axis in grid.axes:
        before = data.draw(st.integers(0, len(axis.stops) - 2))
        low, high = edge(axis.stops[before]), edge(axis.stops[before + 1])
        at[axis.variable] = data.draw(st.floats(low, high))
        around.append([before, before + 1])
    found = look_up(grid, at.get)
    neighbours = [
        grid.cells[grid.row(stops)][0]
        for stops in (
            [[a, b] for a in around[0] for b in around[1]] if len(around) == 2 else [[a] for a in around[0]]
        )
    ]
    lows = [cell.low for cell in neighbours if cell and cell.low is not None]
    highs = [cell.high for cell in neighbours if cell and cell.high is not None]
    assert found.low is not None
    assert found.high is not None
    assert min(lows) <= found.low <= max(lows)
    assert min(highs) <= found.high <= max(highs)
    assert found.low <= found.high


@given(st.floats(20, 30), spans())
def test_between_two_equal_rows_the_answer_is_exactly_theirs(celsius: float, cell: Span) -> None:
    axis = Axis(Variable.AMBIENT, CELSIUS, (read_span("20", CELSIUS), read_span("30", CELSIUS)), Steps.POINTS)
    grid = Grid((Column(Figure.HIGH_SIDE, KPA),), ((cell,), (cell,)), (axis,))
    found = look_up(grid, {Variable.AMBIENT: CELSIUS.to_si(celsius)}.get)
    assert (found.low, found.high) == (cell.low, cell.high)


@given(points(Variable.AMBIENT, -20, 60), st.data())
def test_a_rising_table_gives_rising_answers(axis: Axis, data: st.DataObject) -> None:
    lows = sorted(
        data.draw(st.lists(st.integers(0, 3_000), min_size=len(axis.stops), max_size=len(axis.stops)))
    )
    cells = tuple((read_span(f"{low}-{low + 100}", KPA),) for low in lows)
    grid = Grid((Column(Figure.HIGH_SIDE, KPA),), cells, (axis,))
    within = st.floats(edge(axis.stops[0]), edge(axis.stops[-1]))
    first, second = sorted((data.draw(within), data.draw(within)))
    cooler, warmer = (look_up(grid, {Variable.AMBIENT: at}.get) for at in (first, second))
    assert cooler.low is not None
    assert warmer.low is not None
    assert cooler.low <= warmer.low + 1e-3  # a thousandth of a pascal of rounding


@given(points(Variable.AMBIENT, -20, 60), st.floats(0.01, 30), st.booleans())
def test_nothing_is_said_beyond_either_end(axis: Axis, beyond: float, below: bool) -> None:
    cells = tuple((read_span("900-1300", KPA),) for _ in axis.stops)
    grid = Grid((Column(Figure.HIGH_SIDE, KPA),), cells, (axis,))
    at = edge(axis.stops[0]) - beyond if below else edge(axis.stops[-1]) + beyond
    with pytest.raises(SaysNothing, match="begins" if below else "ends"):
        look_up(grid, {Variable.AMBIENT: at}.get)


@given(st.lists(st.integers(10, 50), min_size=3, max_size=6, unique=True).map(sorted), st.floats(10, 50))
def test_touching_bins_give_every_value_between_their_ends_exactly_one_answer(
    edges: list[int], celsius: float
) -> None:
    assume(edges[0] <= celsius <= edges[-1])
    bins = [f"{low}-{high}" for low, high in pairwise(edges)]
    axis = Axis(Variable.AMBIENT, CELSIUS, tuple(read_span(one, CELSIUS) for one in bins), Steps.BINS)
    cells = tuple((read_span(f"{index}-{index + 1}", KPA),) for index in range(len(bins)))
    found = look_up(
        Grid((Column(Figure.HIGH_SIDE, KPA),), cells, (axis,)), {Variable.AMBIENT: celsius + 273.15}.get
    )
    expected = next(index for index, high in enumerate(edges[1:]) if celsius <= high + 1e-6)
    assert found.low == expected * 1e3


@given(
    st.lists(grids(), min_size=1, max_size=2),
    st.builds(
        SetUp,
        idle=st.booleans(),
        blower=st.none() | st.floats(0, 1),
        air_source=st.none() | st.sampled_from(AirSource),
        hood=st.none() | st.sampled_from(Opening),
        sun=st.none() | st.booleans(),
        run_time_s=st.none() | st.floats(0, 3_600),
        gear=st.text(max_size=5),
        metering=st.lists(st.sampled_from(MeteringDevice), max_size=2).map(tuple),
        notes=st.text(max_size=20),
    ),
    st.none() | st.sampled_from(Circuit),
    st.booleans(),
)
def test_any_table_stored_and_read_again_is_equal(
    parts: list[Grid], set_up: SetUp, circuit: Circuit | None, generic: bool
) -> None:
    table = PerformanceTable("Any", tuple(parts), set_up, circuit, generic, wider=tuple(parts[1:]))
    assert from_document(json.loads(json.dumps(to_document(table)))) == table
