"""The page of the fleet in a window: empty, with units, in both unit systems, by keyboard."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QDialog, QFileDialog, QInputDialog, QLabel, QPushButton
from tests.demo.fleet.conftest import add_cars, make_tables
from tests.demo.fleet.readings import reading, sisters
from tests.plugins.window_host import window_host

from knowngood.units import System
from knowngood_fleet import library
from knowngood_fleet.core.leaks import Service, Work
from knowngood_fleet.panels.add_units_dialog import AddUnitsDialog
from knowngood_fleet.panels.counter_files import take_counters
from knowngood_fleet.panels.page import FleetPage
from knowngood_refdata.drafts import ReadingDraft
from knowngood_refdata.queries import readings, vehicles
from knowngood_refdata.records import Standing
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.host import WindowHost

TODAY = datetime.now(UTC).astimezone().date()
LAST_YEAR = TODAY - timedelta(days=400)


@pytest.fixture
def shop(made_file: Path, tmp_path: Path) -> Iterator[Store]:
    path = tmp_path / "shop.sqlite"
    path.write_bytes(made_file.read_bytes())
    opened = Store.open(path, user="Ada Fell")
    make_tables(opened)
    yield opened
    opened.close()


@pytest.fixture
def said() -> list[str]:
    return []


@pytest.fixture
def shown_pages() -> list[str]:
    return []


@pytest.fixture
def host(
    shop: Store, tmp_path: Path, qtbot: QtBot, said: list[str], shown_pages: list[str]
) -> Iterator[WindowHost]:
    with window_host(shop, tmp_path, said, shown_pages) as made:
        yield made


def fill(store: Store) -> dict[str, int]:
    """Four buses: HL-901 leaks and drifts, HL-902 is sound, the others have no history."""
    vehicle = add_cars(store)
    cars = {one.name: one for one in library.cars(store)}
    library.add_units(store, [cars["HL-901"], cars["HL-902"]], "Quay", "city bus")
    library.add_units(store, [cars["HL-903"]], "Mill Road", "city bus")
    ids = {name: one.unit_id for name, one in cars.items()}
    for name, lost in (("HL-901", 0.8), ("HL-902", 0.01)):
        for at, out in ((LAST_YEAR, None), (TODAY - timedelta(30), 5.0 - lost)):
            library.add_service(
                store, ids[name], Service(at, Work.WEIGHED_IN, 5.0, out, left_share=0.0, note="by the book")
            )
    others = [vehicles.add_unit(store, vehicle, fleet_number=f"HL-8{number}") for number in range(6)]
    known = [draft(one, vehicle, others[(one.unit_id or 0) - 101]) for one in sisters()]
    own = [
        draft(
            reading(number, 1, 182 * number, 30.0, more_subcooling_k=-1.2 * number), vehicle, ids["HL-901"],
            Standing.CANDIDATE,
        )
        for number in range(5)
    ]  # fmt: skip
    readings.add_many(store, [*known, *own])
    return ids


def draft(one: object, vehicle: int, unit: int, standing: Standing = Standing.KNOWN_GOOD) -> ReadingDraft:
    return ReadingDraft(
        vehicle, unit, None, one.taken_at, one.conditions, one.engine_rpm, one.fan_stage, one.values,  # type: ignore[attr-defined]
        standing, "weighed charge",
    )  # fmt: skip


def shown(qtbot: QtBot, host: WindowHost) -> FleetPage:
    page = FleetPage(host)
    qtbot.addWidget(page)
    page.resize(1080, 740)
    page.show()
    qtbot.waitUntil(lambda: page.fleet is not None, timeout=20_000)
    settled(qtbot, host)
    return page


def texts(page: FleetPage) -> str:
    return "\n".join(label.text() for label in page.findChildren(QLabel) if label.isVisibleTo(page))


def button(page: FleetPage, title: str) -> QPushButton:
    return next(
        one for one in page.findChildren(QPushButton) if one.text() == title and one.isVisibleTo(page)
    )


def dialog_of(page: FleetPage) -> QDialog:
    return next(one for one in page.findChildren(QDialog) if one.isVisible())


def settled(qtbot: QtBot, host: WindowHost) -> None:
    # A look that ends may begin the next one.
    qtbot.waitUntil(lambda: not host.tasks.running, timeout=20_000)
    qtbot.wait(20)
    qtbot.waitUntil(lambda: not host.tasks.running, timeout=20_000)


def test_without_cars_the_page_leads_to_where_cars_are_entered(
    qtbot: QtBot, host: WindowHost, shown_pages: list[str]
) -> None:
    page = shown(qtbot, host)
    assert "on the Vehicle specs page first" in texts(page)
    button(page, "Open Vehicle specs").click()
    assert shown_pages == ["specs"]


def test_with_cars_and_no_unit_the_page_asks_for_units_and_shows_them(
    qtbot: QtBot, host: WindowHost, shop: Store
) -> None:
    add_cars(shop)
    page = shown(qtbot, host)
    button(page, "Add units...").click()
    settled(qtbot, host)
    dialog = dialog_of(page)
    assert isinstance(dialog, AddUnitsDialog)
    dialog.accept()
    assert "No car is ticked" in dialog.problem.text()
    dialog.cars.setFocus()
    dialog.cars.setCurrentRow(0)
    QTest.keyClick(dialog.cars, Qt.Key.Key_Space)
    dialog.depot.setCurrentText("Quay")
    dialog.body.setText("city bus")
    dialog.accept()
    settled(qtbot, host)
    assert [one.name for one in library.units(shop)] == ["HL-901"]
    qtbot.waitUntil(lambda: "1 units at 1 depots" in texts(page), timeout=5_000)


def test_the_whole_fleet_names_what_is_to_be_repaired_first_and_draws_what_has_an_odometer(
    qtbot: QtBot, host: WindowHost, shop: Store
) -> None:
    fill(shop)
    page = shown(qtbot, host)
    assert "Repair before refill: HL-901." in texts(page)
    section = page.sections.section("fleet")
    assert [section.depots.grid.text(row, 0) for row in range(2)] == ["Mill Road", "Quay"]
    assert [section.depots.grid.text(1, column) for column in (1, 4, 5)] == ["2", "1", "1"]
    assert "g a year" in section.designs.grid.text(0, 2)
    host.units.set_system(System.US)
    assert "oz a year" in section.designs.grid.text(0, 2)


def test_enter_on_a_depot_and_on_a_unit_leads_on(qtbot: QtBot, host: WindowHost, shop: Store) -> None:
    fill(shop)
    page = shown(qtbot, host)
    depots = page.sections.section("fleet").depots.grid
    depots.setFocus()
    depots.setCurrentCell(1, 0)
    QTest.keyClick(depots, Qt.Key.Key_Return)
    assert page.sections.front == "depot"
    depot = page.sections.section("depot")
    assert depot.depot.currentText() == "Quay"
    depot.units.grid.setCurrentCell(0, 0)
    QTest.keyClick(depot.units.grid, Qt.Key.Key_Return)
    assert page.sections.front == "unit"
    assert "Repair before refill" in texts(page)
    assert "Subcooling falls against its sisters" in texts(page)
    assert [row.word for row in page.sections.section("unit").strips.rows] == ["below", "above"]


def test_a_unit_without_history_says_what_is_missing(qtbot: QtBot, host: WindowHost, shop: Store) -> None:
    ids = fill(shop)
    page = shown(qtbot, host)
    page.sections.open_unit(ids["HL-903"])
    said = texts(page)
    assert "Not enough weighings" in said
    assert "3 visits on different days are needed" in said
    assert "No service was entered yet." in said
    section = page.sections.section("unit")
    assert not section.loss_plot.isVisibleTo(page)


def test_a_service_typed_in_any_unit_is_stored_and_shown_at_once(
    qtbot: QtBot, host: WindowHost, shop: Store
) -> None:
    ids = fill(shop)
    page = shown(qtbot, host)
    page.sections.open_unit(ids["HL-903"])
    button(page, "Enter service...").click()
    dialog = dialog_of(page)
    dialog.accept()
    assert "How much was charged is missing" in dialog.problem.text()  # type: ignore[attr-defined]
    dialog.charged.setText("10 lb")  # type: ignore[attr-defined]
    dialog.accept()
    settled(qtbot, host)
    (entered,) = next(one for one in library.units(shop) if one.name == "HL-903").services
    assert entered.charged_kg == pytest.approx(4.5359, abs=1e-4)
    section = page.sections.section("unit")
    qtbot.waitUntil(lambda: section.services.grid.rowCount() == 1, timeout=5_000)


def test_what_was_typed_is_there_again_after_a_cancelled_entry(
    qtbot: QtBot, host: WindowHost, shop: Store, said: list[str]
) -> None:
    ids = fill(shop)
    page = shown(qtbot, host)
    page.sections.open_unit(ids["HL-903"])
    button(page, "Enter service...").click()
    first = dialog_of(page)
    first.note.setText("hose at the roof")  # type: ignore[attr-defined]
    first.reject()
    assert "What you typed is kept" in said[-1]
    assert host.drafts.save()
    button(page, "Enter service...").click()
    assert dialog_of(page).note.text() == "hose at the roof"  # type: ignore[attr-defined]
    dialog_of(page).reject()


def test_a_check_that_is_done_leaves_the_due_list(qtbot: QtBot, host: WindowHost, shop: Store) -> None:
    fill(shop)
    page = shown(qtbot, host)
    page.sections.open_depot("Mill Road")
    depot = page.sections.section("depot")
    before = depot.due.grid.rowCount()
    row = next(row for row in range(before) if depot.due.grid.text(row, 1) == "Leak check")
    depot.due.grid.setCurrentCell(row, 0)
    button(page, "Check done...").click()
    dialog = dialog_of(page)
    assert dialog.check.currentText() == "Leak check"  # type: ignore[attr-defined]
    dialog.accept()
    settled(qtbot, host)
    qtbot.waitUntil(lambda: depot.due.grid.rowCount() == before - 1, timeout=5_000)


def test_a_service_is_struck_out_with_a_reason(
    qtbot: QtBot, host: WindowHost, shop: Store, said: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    ids = fill(shop)
    page = shown(qtbot, host)
    page.sections.open_unit(ids["HL-901"])
    button(page, "Strike out service...").click()
    assert "Choose the service" in said[-1]
    page.sections.section("unit").services.grid.setCurrentCell(0, 0)
    monkeypatch.setattr(QInputDialog, "getText", lambda *_: ("wrong unit", True))
    button(page, "Strike out service...").click()
    settled(qtbot, host)
    assert len(library.unit(shop, ids["HL-901"]).services) == 1  # type: ignore[union-attr]


def test_counters_are_typed_in_the_units_shown_and_a_backward_one_is_refused(
    qtbot: QtBot, host: WindowHost, shop: Store
) -> None:
    ids = fill(shop)
    host.units.set_system(System.US)
    page = shown(qtbot, host)
    page.sections.open_unit(ids["HL-902"])
    button(page, "Enter counters...").click()
    dialog = dialog_of(page)
    dialog.odometer.setText("100000")  # type: ignore[attr-defined]
    dialog.at.setDate(dialog.at.date().addDays(-10))  # type: ignore[attr-defined]
    dialog.accept()
    settled(qtbot, host)
    button(page, "Enter counters...").click()
    dialog = dialog_of(page)
    dialog.odometer.setText("900")  # type: ignore[attr-defined]
    dialog.accept()
    assert "the odometer would fall" in dialog.problem.text()  # type: ignore[attr-defined]
    dialog.reject()
    (read,) = library.unit(shop, ids["HL-902"]).counters  # type: ignore[union-attr]
    assert read.odometer_km == pytest.approx(160_934.4)


def test_the_fleet_is_exported_where_the_user_says_and_trouble_is_told(
    qtbot: QtBot, host: WindowHost, shop: Store, said: list[str], tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    fill(shop)
    page = shown(qtbot, host)
    section = page.sections.section("fleet")
    place = tmp_path / "fleet.csv"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(place), ""))
    section.export()
    assert place.read_text("utf-8-sig").count("HL-90") == 3
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "no" / "f.csv"), ""))
    section.export()
    assert "cannot be written" in said[-1]


def test_every_section_goes_on_paper_with_its_texts_escaped(
    qtbot: QtBot, host: WindowHost, shop: Store
) -> None:
    ids = fill(shop)
    library.move(shop, ids["HL-901"], "Quay <north>")
    page = shown(qtbot, host)
    page.sections.open_unit(ids["HL-901"])
    for key in ("fleet", "depot", "unit"):
        page.show_section(key)
        sheet = page.sections.sheet()
        assert "<north>" not in sheet.html
        assert "HL-90" in sheet.html or "Quay &lt;north&gt;" in sheet.html


def test_counters_come_from_the_heads_of_telematics_files(shop: Store, tmp_path: Path) -> None:
    ids = fill(shop)
    head = "FLEET TELEMATICS;2\nunit;{}\nstarted;2026-06-03T07:14:00Z\nengine hours;{}\nDATA\n"
    names = []
    for unit, hours in (("HL-901", "8123,4"), ("HL-777", "10"), ("HL-901", "x")):
        names.append(tmp_path / f"{unit}{hours}.csv")
        names[-1].write_text(head.format(unit, hours), encoding="utf-8")
    taken, refused = take_counters(shop, [str(one) for one in [*names, names[0], tmp_path / "gone.csv"]])
    assert taken == 1
    assert [words in one for words, one in zip(
        ("no unit of the fleet", "'x' is no number", "taken before", "cannot be read"), refused, strict=True
    )] == [True] * 4  # fmt: skip
    (read,) = library.unit(shop, ids["HL-901"]).counters  # type: ignore[union-attr]
    assert (read.at, read.hours, read.odometer_km) == (date(2026, 6, 3), 8123.4, None)
