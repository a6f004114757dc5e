"""Values at a moment and between two, which channel stands on which plot, and the table that is exported."""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING, Any

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from knowngood.formatting import System
from knowngood.progress import Cancelled
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Quantity, Role
from knowngood_sessions.at_cursor import Samples, cursor_rows, measured_rows
from knowngood_sessions.channel_layout import USUAL, from_plain, plots, to_plain, toggled
from knowngood_sessions.core.channels.brought import CONDENSING
from knowngood_sessions.csv_export import _fixed, write_csv
from knowngood_sessions.traces import Trace

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

    from knowngood_sessions.gather import Session

PSI_PA = 6_894.757
ATMOSPHERE_PA = 101_325.0
TIME_S = np.arange(0.0, 100.0)


def trace(key: str, values: np.ndarray[tuple[int], np.dtype[np.float64]], what: Kind | None = None) -> Trace:
    return Trace(key, key, values, "#000000", what)


def test_the_cursor_tells_every_channel_recorded_and_worked_out(session: Session) -> None:
    rows = cursor_rows(session.traces, session.samples, 120.0, System.US, session.barometer_pa)
    by_key = {one.key: one for one in rows}
    # Idle of the two-plateau session: 30 and 150 psig, superheat 6 and subcooling 37 °F.
    expected = {
        Role.LOW_SIDE.value: 30.0, Role.HIGH_SIDE.value: 150.0, Quantity.SUPERHEAT.value: 6.0,
        Quantity.SUBCOOLING.value: 37.0, Role.ENGINE_SPEED.value: 750.0,
    }  # fmt: skip
    for key, value in expected.items():
        assert float(by_key[key].cells[0]) == pytest.approx(value, rel=0.05, abs=1.0), key
    assert (by_key[Role.LOW_SIDE.value].unit, by_key[Quantity.SUPERHEAT.value].unit) == ("psig", "°F")
    assert CONDENSING in by_key
    assert len(rows) == len(session.traces)


def test_nothing_is_told_where_nothing_was_recorded() -> None:
    values = np.where(TIME_S < 50.0, 7.0, np.nan)
    samples = Samples(np.where(TIME_S < 80.0, TIME_S, TIME_S + 500.0))
    assert samples.at(values, 20.4) == 7.0
    assert samples.at(values, 60.0) is None
    assert samples.at(values, 300.0) is None
    assert samples.at(values, -20.0) is None
    assert Samples(np.empty(0)).at(np.empty(0), 1.0) is None


def test_between_two_moments_difference_slope_and_mean_are_told() -> None:
    low = ATMOSPHERE_PA + PSI_PA * (30.0 + 0.1 * TIME_S)
    (row,) = measured_rows(
        [trace("low side", low, Kind.PRESSURE)], Samples(TIME_S), (10.0, 40.0), System.US, ATMOSPHERE_PA
    )
    assert row.cells == ("31.0", "34.0", "3.0", "6.0", "32.5")
    (back,) = measured_rows(
        [trace("low side", low, Kind.PRESSURE)], Samples(TIME_S), (40.0, 10.0), System.US, ATMOSPHERE_PA
    )
    assert back.cells[2:4] == ("−3.0", "6.0")


def test_a_difference_of_temperatures_in_fahrenheit_has_no_offset() -> None:
    (row,) = measured_rows(
        [trace("vent", 280.0 + 0.1 * TIME_S, Kind.TEMPERATURE)], Samples(TIME_S), (0.0, 50.0), System.US, 0.0
    )
    assert row.cells[2] == "9.0"


@given(st.integers(1, 20_000), st.integers(0, 2**31), st.floats(-10.0, 20_010.0), st.floats(-10.0, 20_010.0))
def test_the_mean_of_any_stretch_is_that_of_its_samples(size: int, seed: int, a_s: float, b_s: float) -> None:
    random = np.random.default_rng(seed)
    values = random.normal(5.0, 2.0, size)
    values[random.random(size) < 0.1] = np.nan
    time_s = np.arange(size, dtype=float)
    inside = values[(time_s >= min(a_s, b_s)) & (time_s <= max(a_s, b_s))]
    inside = inside[np.isfinite(inside)]
    found = Samples(time_s).mean(values, a_s, b_s)
    assert (found is None) == (inside.size == 0)
    if found is not None:
        assert found == pytest.approx(float(inside.mean()), rel=1e-9)


def test_any_channel_can_stand_on_any_plot_and_an_empty_plot_goes() -> None:
    layout = toggled(USUAL, 0, Role.VENT.value)
    assert Role.VENT.value in layout[0]
    assert Role.VENT.value in layout[1]
    layout = toggled(layout, 3, Role.ENGINE_SPEED.value)
    assert len(layout) == 3
    layout = toggled(layout, 3, Role.ENGINE_SPEED.value)
    assert layout[3] == (Role.ENGINE_SPEED.value,)


def test_a_layout_comes_back_as_it_was_kept_and_whatever_else_is_kept_gives_the_usual_one() -> None:
    layout = toggled(USUAL, 4, "coolant")
    assert from_plain(to_plain(layout)) == layout
    broken_ones: tuple[Any, ...] = (None, [], [[]], "low side", {"plots": 1}, [1, 2], [["low side"], 3])
    for broken in broken_ones:
        assert from_plain(broken) == USUAL


def test_channels_of_two_units_on_one_plot_can_both_be_seen_and_say_by_what_they_are_divided() -> None:
    offered = [
        trace("low side", ATMOSPHERE_PA + PSI_PA * np.linspace(25.0, 30.0, 100), Kind.PRESSURE),
        trace("engine speed", np.linspace(750.0, 2_500.0, 100), Kind.ROTATION),
    ]
    (plot,) = plots(offered, (("low side", "engine speed"),), System.US, ATMOSPHERE_PA)
    shown = [float(np.abs(one.on_axis.array(one.trace.values)).max()) for one in plot.placed]
    assert 0.3 < shown[1] / shown[0] < 3.1
    assert plot.unit == "psig, 100 rpm"


def test_plots_of_channels_that_a_session_has_not_are_left_out(session: Session) -> None:
    found = plots(session.traces, (("no such",), ("low side", "no such")), System.SI, session.barometer_pa)
    assert [[one.trace.key for one in plot.placed] for plot in found] == [["low side"]]
    assert (found[0].unit, found[0].title) == ("bar g", "Low side")


def test_a_table_with_a_decimal_comma_holds_the_same_numbers(session: Session, tmp_path: Path) -> None:
    tables = []
    for comma in (False, True):
        path = tmp_path / f"{comma}.csv"
        write_csv(path, session, session.traces, (100.0, 160.5), System.US, decimal_comma=comma)
        with path.open(encoding="utf-8-sig", newline="") as file:
            tables.append(list(csv.reader(file, delimiter=";" if comma else ",")))
    with_point, with_comma = tables
    assert with_comma[0] == with_point[0]
    assert any("," in cell for cell in with_comma[1])
    assert not any("." in cell for row in with_comma[1:] for cell in row)
    assert [[cell.replace(",", ".") for cell in row] for row in with_comma[1:]] == with_point[1:]


def test_the_table_holds_what_is_in_view_with_units_and_can_be_read_back(
    session: Session, tmp_path: Path
) -> None:
    keys = (Role.LOW_SIDE.value, Quantity.SUPERHEAT.value, Role.ENGINE_SPEED.value)
    chosen = [one for one in session.traces if one.key in keys]
    path = tmp_path / "part.csv"
    progress: list[float] = []
    assert write_csv(path, session, chosen, (100.0, 160.0), System.US, progress.append) == 61
    with path.open(encoding="utf-8-sig", newline="") as file:
        head, *rows = csv.reader(file)
    assert head[0] == "Time (s)"
    assert "low side (psig)" in head
    assert [float(row[0]) for row in rows] == list(np.arange(100.0, 161.0))
    low = next(one for one in chosen if one.key == Role.LOW_SIDE.value)
    column = head.index("low side (psig)")
    gauge = (low.values[100:161] - session.barometer_pa) / PSI_PA
    np.testing.assert_allclose([float(row[column]) for row in rows], gauge, atol=0.01)
    assert not list(tmp_path.glob(".*"))


@given(
    arrays(np.float64, 9, elements=st.floats(-1e14, 1e14) | st.sampled_from([np.nan, np.inf, -np.inf])),
    st.integers(0, 5),
)
def test_every_number_of_a_table_is_written_as_rounded_and_nothing_where_there_is_none(
    values: NDArray[np.float64], decimals: int
) -> None:
    written = _fixed(values, decimals).cast(pl.String).to_list()
    for value, text in zip(values.tolist(), written, strict=True):
        if not np.isfinite(value):
            assert text is None
        else:
            # Half a unit of the last place, and what a double of this size cannot hold.
            within = 0.5 * 10.0**-decimals + 4 * np.spacing(abs(value))
            assert abs(float(text) - value) <= within
            assert len(text.partition(".")[2]) == decimals


def test_a_number_too_large_for_decimals_is_written_all_the_same(session: Session, tmp_path: Path) -> None:
    values = np.full(session.recording.time_s.size, 3e40)
    values[1] = np.nan
    path = tmp_path / "large.csv"
    write_csv(path, session, [Trace("other: x", "count", values, "#000000")], (0.0, 2.0), System.SI)
    with path.open(encoding="utf-8-sig", newline="") as file:
        _, *rows = csv.reader(file)
    assert [(row[0], row[1] and float(row[1])) for row in rows] == [("0", 3e40), ("1", ""), ("2", 3e40)]


def test_a_stretch_without_samples_gives_a_table_of_its_head(session: Session, tmp_path: Path) -> None:
    path = tmp_path / "none.csv"
    assert write_csv(path, session, session.traces[:1], (1e6, 2e6), System.SI) == 0
    assert len(path.read_text("utf-8-sig").splitlines()) == 1


def test_a_table_that_is_cancelled_leaves_nothing(session: Session, tmp_path: Path) -> None:
    def cancel(_: float) -> None:
        raise Cancelled

    with pytest.raises(Cancelled):
        write_csv(tmp_path / "part.csv", session, session.traces, (0.0, 500.0), System.SI, cancel)
    assert not list(tmp_path.glob("*part*"))


def test_a_table_that_cannot_be_written_leaves_nothing(session: Session, tmp_path: Path) -> None:
    with pytest.raises(OSError, match="No such file"):
        write_csv(tmp_path / "gone" / "part.csv", session, session.traces, (0.0, 9.0), System.SI)
    assert not (tmp_path / "gone").exists()


def test_a_channel_named_like_a_formula_is_none_in_a_spreadsheet(session: Session, tmp_path: Path) -> None:
    evil = Trace("other: x", "=1+1", session.traces[0].values, "#000000")
    path = tmp_path / "part.csv"
    write_csv(path, session, [evil], (0.0, 1.0), System.SI)
    with path.open(encoding="utf-8-sig", newline="") as file:
        head = next(csv.reader(file))
    assert not head[1].startswith("=")
