"""The page on a real library: search, choose, take in hand, follow the bench and the units."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QPushButton

from knowngood.units import System
from knowngood_refdata.drafts import VehicleDraft
from knowngood_refdata.queries import vehicle_edits, vehicles
from knowngood_refdata.queries.filters import Choice, Filters
from knowngood_specs.panels.page import SpecsPage

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from knowngood.api import Host

    from ..open_host import OpenHost


@pytest.fixture
def page(qtbot: QtBot, host: OpenHost, skerry: int) -> SpecsPage:
    return shown(qtbot, host)


def shown(qtbot: QtBot, host: OpenHost) -> SpecsPage:
    page = SpecsPage(cast("Host", host))
    qtbot.addWidget(page)
    page.resize(1087, 710)
    page.show()
    return page


def texts(page: SpecsPage) -> list[str]:
    """The sentences that can be seen, once what was asked for has been laid out."""
    QApplication.processEvents()
    return [one.text() for one in page.findChildren(QLabel) if one.isVisible()]


def plain(button: QPushButton) -> str:
    """What a button says, without the mark of its letter."""
    return button.text().replace("&", "")


def button(page: SpecsPage, text: str) -> QPushButton:
    (found,) = [one for one in page.findChildren(QPushButton) if one.isVisible() and plain(one) == text]
    return found


def test_an_empty_library_says_what_to_do_first(qtbot: QtBot, host: OpenHost) -> None:
    page = shown(qtbot, host)
    assert "The library holds no vehicle yet." in texts(page)
    assert any("read the under-hood label" in text for text in texts(page))
    assert button(page, "Add the first vehicle").isEnabled()
    assert button(page, "Import a spreadsheet...").isEnabled()


def test_typed_words_find_the_vehicle_and_show_its_record(
    qtbot: QtBot, page: SpecsPage, host: OpenHost, skerry: int
) -> None:
    QTest.keyClicks(page.search, "22 skerry 1234yf")
    qtbot.waitUntil(lambda: page.vehicle is not None and page.vehicle.id == skerry)
    assert page.list.found.rowCount() == 1
    assert "470 ± 15 g" in texts(page)
    assert "under-hood label: photographed, entered by Ada Fell" in texts(page)
    assert "1 of 3 vehicles" in texts(page)


def test_a_search_without_hits_says_so_and_leads_back(qtbot: QtBot, page: SpecsPage) -> None:
    QTest.keyClicks(page.search, "skerry 1987")
    qtbot.waitUntil(lambda: page.vehicle is None)
    assert any("No vehicle holds every word of 'skerry 1987'" in text for text in texts(page))
    button(page, "Show all vehicles").click()
    assert page.list.found.rowCount() == 3
    assert page.vehicle is not None


def test_values_that_differ_stand_side_by_side(qtbot: QtBot, page: SpecsPage) -> None:
    page.search.setText("skerry")
    page.refresh()
    assert {"470 ± 15 g", "500 g"} <= set(texts(page))
    assert any("they differ; the label on the car comes first" in text for text in texts(page))


def test_the_record_follows_the_unit_system_and_keeps_what_is_printed(
    page: SpecsPage, host: OpenHost
) -> None:
    page.search.setText("skerry")
    page.refresh()
    assert "= 16.6 ± 0.5 oz" not in texts(page)
    host.units.set_system(System.US)
    assert {"470 ± 15 g", "= 16.6 ± 0.5 oz"} <= set(texts(page))


def test_the_keyboard_alone_finds_a_vehicle_and_takes_it_in_hand(
    qtbot: QtBot, page: SpecsPage, host: OpenHost, skerry: int
) -> None:
    QTest.keyClicks(page.search, "skerry")
    QTest.keyClick(page.search, Qt.Key.Key_Return)
    assert QApplication.focusWidget() is page.list
    QTest.keyClick(page.list, Qt.Key.Key_Return)
    assert host.bench.vehicle is not None
    assert host.bench.vehicle.id == skerry
    assert host.said == ["In hand: Tarn Skerry 1.6 petrol, 2021\N{EN DASH}23."]
    assert not button(page, "In hand").isEnabled()


def test_a_double_click_takes_a_vehicle_in_hand(qtbot: QtBot, page: SpecsPage, host: OpenHost) -> None:
    place = page.list.visualRect(page.list.found.index(1)).center()
    QTest.mouseClick(page.list.viewport(), Qt.MouseButton.LeftButton, pos=place)
    QTest.mouseDClick(page.list.viewport(), Qt.MouseButton.LeftButton, pos=place)
    assert host.bench.vehicle is not None
    assert host.bench.vehicle.id == page.list.current
    assert page.list.currentIndex().row() == 1


def test_the_button_takes_the_vehicle_shown(page: SpecsPage, host: OpenHost) -> None:
    page.list.choose(2)
    button(page, "Take in hand").click()
    assert host.bench.vehicle == page.vehicle
    assert page.list.currentIndex().row() == 2


def test_the_vehicle_in_hand_is_chosen_when_the_page_opens(qtbot: QtBot, host: OpenHost, skerry: int) -> None:
    host.bench.take_vehicle(vehicles.vehicle(host.store, skerry))
    page = shown(qtbot, host)
    assert page.vehicle is not None
    assert page.vehicle.id == skerry
    assert page.list.currentIndex().row() == page.list.found.row_of(skerry)


def test_a_vehicle_taken_elsewhere_is_shown_even_when_the_search_hides_it(
    page: SpecsPage, host: OpenHost, skerry: int
) -> None:
    page.search.setText("harrier")
    page.refresh()
    host.bench.take_vehicle(vehicles.vehicle(host.store, skerry))
    assert page.search.text() == ""
    assert page.vehicle is not None
    assert page.vehicle.id == skerry
    row = page.list.found.row_of(skerry)
    assert row is not None
    assert page.list.found.index(row).data(Qt.ItemDataRole.ToolTipRole).splitlines()[1].startswith("in hand")


def test_a_vehicle_added_elsewhere_is_found_when_the_page_is_seen_again(
    page: SpecsPage, host: OpenHost
) -> None:
    page.hide()
    vehicles.add_vehicle(host.store, VehicleDraft("Gill", "Beck", "van", 2018))
    page.show()
    assert page.list.found.rowCount() == 4


def test_a_missing_charge_is_said_where_the_charge_would_stand(page: SpecsPage) -> None:
    page.search.setText("combe")
    page.refresh()
    assert any("No charge weight is on record" in text for text in texts(page))
    assert "not on record" in texts(page)


def test_more_vehicles_than_shown_are_owned_up_to(
    qtbot: QtBot, host: OpenHost, skerry: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("knowngood_specs.panels.search_side.MOST_SHOWN", 2)
    page = shown(qtbot, host)
    assert "The first 2 of 3 vehicles: type more words to find the others." in texts(page)


def test_the_list_follows_a_letter_before_the_record_does(qtbot: QtBot, page: SpecsPage) -> None:
    before = page.vehicle
    QTest.keyClicks(page.search, "skerry")
    QApplication.processEvents()
    assert page.list.found.rowCount() == 1
    assert page.vehicle is before
    qtbot.waitUntil(lambda: page.vehicle is not None and page.vehicle.model == "Skerry")


def test_control_f_leads_back_to_the_words_ready_to_be_typed_over(page: SpecsPage) -> None:
    page.search.setText("fen")
    page.refresh()
    page.list.setFocus()
    QTest.keyClick(page, Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
    assert QApplication.focusWidget() is page.search
    assert page.search.selectedText() == "fen"


def test_filters_narrow_the_list_and_are_cleared_in_one_step(qtbot: QtBot, page: SpecsPage) -> None:
    box = page.side.filters.boxes[Choice.REFRIGERANT]
    qtbot.waitUntil(lambda: box.count() > 1)
    box.setCurrentIndex(box.findData("R-1234yf"))
    qtbot.waitUntil(lambda: page.vehicle is not None and page.vehicle.model == "Combe")
    assert page.list.found.rowCount() == 2
    assert "2 of 3 vehicles" in texts(page)
    button(page, "Clear filters").click()
    qtbot.waitUntil(lambda: page.list.found.rowCount() == 3)


def test_filters_without_hits_are_named_as_the_reason(qtbot: QtBot, page: SpecsPage) -> None:
    page.side.filters.year.setText("1987")
    qtbot.waitUntil(lambda: page.vehicle is None)
    assert any(text.startswith("No vehicle is within these filters") for text in texts(page))


def test_filters_that_are_out_of_sight_are_counted(page: SpecsPage) -> None:
    filters = page.side.filters
    filters.unreviewed.setChecked(True)
    filters.year.setText("2022")
    assert plain(filters.more_button) == "More filters (2 set)"
    assert filters.filters == Filters(year=2022, unreviewed=True)


def test_a_vehicle_with_values_that_differ_is_marked_in_the_list(
    qtbot: QtBot, page: SpecsPage, skerry: int
) -> None:
    row = page.list.found.row_of(skerry)
    assert row is not None
    tip = page.list.found.index(row).data
    qtbot.waitUntil(lambda: "values differ" in tip(Qt.ItemDataRole.ToolTipRole))
    assert "values differ" not in page.list.found.index(0).data(Qt.ItemDataRole.ToolTipRole)


def test_a_vehicle_deleted_while_in_hand_is_put_down(page: SpecsPage, host: OpenHost, skerry: int) -> None:
    held = vehicles.vehicle(host.store, skerry)
    host.bench.take_vehicle(held)
    vehicle_edits.delete_vehicle(host.store, skerry, held.version, "entered twice")
    page.forms.deleted.emit(held)
    assert host.bench.vehicle is None
    assert page.list.found.rowCount() == 2
    assert page.vehicle is not None
    assert page.vehicle.id != skerry


def test_markup_in_a_name_is_shown_as_it_was_typed(page: SpecsPage, host: OpenHost) -> None:
    vehicles.add_vehicle(host.store, VehicleDraft("<b>Aire</b>", "Beck", "", 2018))
    page.refresh()
    line = page.list.found.index(0)
    assert line.data().startswith("<b>Aire</b> Beck")
    assert "&lt;b&gt;Aire&lt;/b&gt;" in line.data(Qt.ItemDataRole.ToolTipRole)
