"""The comparison's page: it answers as one types, narrows facts down, and lays cars over each other."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog, QLabel

from knowngood.units import System
from knowngood_comparison.core.clouds import Speeds
from knowngood_comparison.core.figures import Figure
from knowngood_comparison.panels.conditions_part import ConditionsPart
from knowngood_comparison.panels.facts_part import NOTHING_FOUND, FactsPart
from knowngood_comparison.panels.library_part import EMPTY_LIBRARY, NO_LIKE, NO_PAIR, LibraryPart
from knowngood_comparison.panels.page import ComparisonPage
from knowngood_comparison.plugin import pages
from knowngood_refdata.drafts import ReadingDraft, SpecDraft, VehicleDraft
from knowngood_refdata.queries import readings, vehicles
from knowngood_refdata.records import SourceKind, Standing
from knowngood_refdata.store import Store

from ..window_host import window_host
from .test_clouds import NEW, OLD, reading

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.host import WindowHost


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = Store.open(tmp_path / "library.sqlite", user="Ada Fell")
    yield opened
    opened.close()


@pytest.fixture
def said() -> list[str]:
    return []


@pytest.fixture
def host(store: Store, tmp_path: Path, said: list[str], qtbot: QtBot) -> Iterator[WindowHost]:
    with window_host(store, tmp_path, said) as made:
        yield made


@pytest.fixture
def page(host: WindowHost, qtbot: QtBot) -> ComparisonPage:
    (announced,) = pages()
    made = announced.factory(host)
    assert isinstance(made, ComparisonPage)
    qtbot.addWidget(made)
    made.resize(1080, 740)
    made.show()
    return made


def conditions(page: ComparisonPage) -> ConditionsPart:
    part = page.section("conditions")
    assert isinstance(part, ConditionsPart)
    return part


def facts(page: ComparisonPage) -> FactsPart:
    page.show_section("facts")
    part = page.section("facts")
    assert isinstance(part, FactsPart)
    return part


def library(page: ComparisonPage, qtbot: QtBot) -> LibraryPart:
    page.show_section("library")
    part = page.section("library")
    assert isinstance(part, LibraryPart)
    qtbot.waitUntil(lambda: part.overlaid is not None and not part.host.tasks.running)
    return part


def row(page: ComparisonPage, title: str, unit: str = "") -> list[str]:
    table = conditions(page).figures.table
    rows = ([table.text(number, column) for column in range(6)] for number in range(table.rowCount()))
    return next(cells for cells in rows if cells[0] == title and cells[1].startswith(unit))


def add_wader(store: Store, refrigerant: str, grams: float, market: str = "") -> int:
    label = SourceKind.UNDER_HOOD_LABEL
    specs = (
        SpecDraft("refrigerant", None, refrigerant, label, "label of car 1"),
        SpecDraft("charge", grams / 1e3, f"{grams:.0f} g", label, "label of <car> 1"),
    )
    draft = VehicleDraft("Fen", "Wader", "1.2 petrol", 2017, 2022, market=market, specs=specs)
    return vehicles.add_vehicle(store, draft)


def add_reading(store: Store, vehicle_id: int, refrigerant: str, rpm: float = 820.0) -> None:
    given = reading(refrigerant, rpm=rpm, unit_id=None)
    readings.add(
        store,
        ReadingDraft(
            vehicle_id, None, None, given.taken_at, given.conditions, rpm, given.fan_stage, given.values,
            Standing.KNOWN_GOOD, "weighed in, no complaint",
        ),
    )  # fmt: skip


def test_the_page_opens_with_both_refrigerants_side_by_side(page: ComparisonPage) -> None:
    """As test_figures has it for 5 and 50 °C; the efficiency moves the COP of both alike."""
    assert row(page, "Suction", "bar abs")[-1] == "+6.7"
    assert row(page, "COP")[-1] == "\N{MINUS SIGN}4.6"
    assert row(page, "Suction", "bar g")[-2:] == ["", ""]


def test_gauge_pressures_follow_the_altitude_and_absolute_ones_do_not(page: ComparisonPage) -> None:
    before = row(page, "Suction", "bar g"), row(page, "Suction", "bar abs")
    conditions(page).conditions.altitude.setText("2000 m")
    after = row(page, "Suction", "bar g"), row(page, "Suction", "bar abs")
    # Standard atmosphere: 101.3 kPa at sea level, 79.5 kPa at 2000 m.
    assert float(after[0][2]) - float(before[0][2]) == pytest.approx(0.218, abs=0.011)
    assert after[1] == before[1]


def test_the_unit_system_changes_fields_table_and_axes(page: ComparisonPage, host: WindowHost) -> None:
    host.units.set_system(System.US)
    assert conditions(page).conditions.evaporating.text() == "41.0 °F"
    assert row(page, "Suction", "psia")[1] == "psia"
    assert "41.0 °F" in conditions(page).drawing.reading.text()


def test_senseless_conditions_are_answered_with_words_and_no_numbers(page: ComparisonPage) -> None:
    part = conditions(page)
    part.conditions.condensing.setText("0 C")
    assert part.figures.problem.text() == "Condensing must lie above evaporating."
    assert part.figures.table.isHidden()
    part.conditions.condensing.setText("97 C")
    assert "94.7 °C" in part.figures.problem.text()
    assert row(page, "COP")[3] == "\N{EN DASH}"
    part.conditions.condensing.setText("warm")
    assert part.conditions.problem.text().startswith("Condensing:")
    part.conditions.condensing.setText("")
    assert "enter" in part.figures.problem.text().casefold()


def test_the_drawing_shows_any_figure_or_both_cycles(page: ComparisonPage) -> None:
    drawing = conditions(page).drawing
    for place in range(drawing.figure.count()):
        drawing.figure.setCurrentIndex(place)
        for axis in range(drawing.axis.count()):
            drawing.axis.setCurrentIndex(axis)
    assert drawing.chosen is None
    assert drawing.diagram.isVisibleTo(drawing)
    drawing.figure.setCurrentIndex(list(Figure).index(Figure.MASS_FLOW))
    assert "cooling power" in drawing.reading.text()
    conditions(page).conditions.cooling.setText("4 kW")
    assert "R-1234yf" in drawing.reading.text()


def test_the_reading_line_starts_at_the_conditions_and_says_what_the_table_says(page: ComparisonPage) -> None:
    drawing = conditions(page).drawing
    drawing.axis.setCurrentIndex(2)
    told = drawing.reading.text()
    assert told.startswith("Condensing 50.0 °C: ")
    for value in row(page, "COP")[2:4]:
        assert value in told


def test_a_keystroke_is_answered_within_twenty_milliseconds(page: ComparisonPage) -> None:
    field = conditions(page).conditions.condensing
    field.setText("")
    times = []
    for key in "52.5 C":
        begun = time.perf_counter()
        QTest.keyClicks(field, key)
        times.append(time.perf_counter() - begun)
    assert "52.5" in field.text()
    assert sorted(times)[len(times) // 2] < 0.020


def test_the_curve_in_front_is_saved_as_a_picture(
    page: ComparisonPage, said: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "curve"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(place), ""))
    conditions(page).drawing.save_picture()
    assert place.with_suffix(".png").stat().st_size > 5_000
    assert said == [f"Saved {place}.png."]


def test_facts_are_narrowed_down_and_those_from_memory_are_marked(page: ComparisonPage) -> None:
    part = facts(page)
    assert "from memory, not read again" in part.facts.toPlainText()
    part.wanted.setText("burning velocity")
    shown = part.facts.toPlainText()
    assert "1.5 cm/s" in shown
    assert "PAG" not in shown
    part.wanted.setText("zebra")
    assert part.facts.toPlainText() == NOTHING_FOUND


def test_the_cautions_for_a_flammable_refrigerant_stand_above_the_facts(page: ComparisonPage) -> None:
    part = facts(page)
    assert "A2L" in part.cautions.text()
    assert part.cautions.y() < part.facts.y()


@pytest.mark.parametrize("key", ["conditions", "facts", "library"])
def test_every_part_goes_on_paper(page: ComparisonPage, host: WindowHost, tmp_path: Path, key: str) -> None:
    page.show_section(key)
    host.sheet_pdf(page.sheet(), tmp_path / "sheet.pdf")
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")


def test_an_empty_library_says_what_to_do_first_and_leads_there(
    page: ComparisonPage, qtbot: QtBot, said: list[str]
) -> None:
    part = library(page, qtbot)
    assert EMPTY_LIBRARY in [label.text() for label in part.empty.findChildren(QLabel)]
    part.empty.clicked.emit()
    assert said == ["specs"]


def test_a_library_without_a_pair_says_what_makes_one(
    page: ComparisonPage, qtbot: QtBot, store: Store
) -> None:
    add_wader(store, NEW, 520.0)
    part = library(page, qtbot)
    assert NO_PAIR in [label.text() for label in part.empty.findChildren(QLabel)]


def test_a_pair_shows_its_charges_with_their_sources_and_the_difference(
    page: ComparisonPage, qtbot: QtBot, store: Store
) -> None:
    add_wader(store, NEW, 520.0)
    add_wader(store, OLD, 570.0, "export")
    part = library(page, qtbot)
    assert part.pairs.currentText().startswith("Fen Wader: 1.2 petrol")
    shown = part.charges.text()
    assert "\N{MINUS SIGN}50 g" in shown
    assert "\N{MINUS SIGN}8.8 %" in shown
    assert "label of &lt;car&gt; 1" in shown
    assert "export" in part.otherwise.text()
    assert part.ranges.text() == NO_LIKE


def test_readings_of_both_are_laid_over_each_other_with_their_numbers(
    page: ComparisonPage, qtbot: QtBot, store: Store
) -> None:
    newer, older = add_wader(store, NEW, 520.0), add_wader(store, OLD, 570.0)
    for rpm in (820.0, 820.0, 1_500.0):
        add_reading(store, newer, NEW, rpm)
    add_reading(store, older, OLD)
    part = library(page, qtbot)
    assert "R-134a: 1 reading of 1 car" in part.cloud.counts.text()
    assert "R-1234yf: 2 readings of 2 cars" in part.cloud.counts.text()
    assert "2 readings of 2 cars" in part.ranges.text()
    part.cloud.speeds.setCurrentText(Speeds.ALL)
    qtbot.waitUntil(lambda: "R-1234yf: 3 readings" in part.cloud.counts.text())
    QTest.keyClick(part.cloud.plot, Qt.Key.Key_Right)
    assert "ambient 30.0 °C" in part.cloud.pointed.text()


def test_the_vehicle_in_hand_brings_its_pair_to_the_front(
    page: ComparisonPage, qtbot: QtBot, store: Store, host: WindowHost
) -> None:
    add_wader(store, OLD, 570.0)
    add_wader(store, NEW, 520.0)
    other = add_wader(store, NEW, 500.0, "second market")
    host.bench.take_vehicle(vehicles.vehicle(store, other))
    part = library(page, qtbot)
    assert "second market" in part.pairs.currentText()
    part.pairs.setCurrentIndex(0)
    part.pairs.activated.emit(0)
    qtbot.waitUntil(lambda: "520 g" in part.charges.text())
    host.bench.take_vehicle(None)
    host.bench.take_vehicle(vehicles.vehicle(store, other))
    page.refresh()
    qtbot.waitUntil(lambda: "500 g" in part.charges.text())


def test_a_narrow_page_puts_its_columns_below_one_another(page: ComparisonPage, qtbot: QtBot) -> None:
    part = conditions(page)
    assert part.drawing.x() > part.figures.x()
    page.resize(740, 500)
    qtbot.waitUntil(lambda: part.drawing.y() > part.figures.y())
    assert part.width() <= 740


def test_ctrl_and_a_number_leads_to_a_part(page: ComparisonPage) -> None:
    QTest.keyClick(page, Qt.Key.Key_2, Qt.KeyboardModifier.ControlModifier)
    assert page.front == "facts"
