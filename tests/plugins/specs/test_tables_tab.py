"""The tab of published tables on a real library: entered, answered, refused, corrected, retired."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QLabel, QPlainTextEdit

from knowngood.drafts import Drafts
from knowngood.units import System
from knowngood.widgets import RangeStripList, StripRow
from knowngood_refdata.drafts import SessionDraft, VehicleDraft
from knowngood_refdata.queries import sessions, tables, vehicles
from knowngood_refdata.records import (
    AirSource,
    Channel,
    Conditions,
    Estimate,
    Findings,
    Instruments,
    Quantity,
    Recording,
    Role,
    SourceKind,
    SteadyWindow,
)
from knowngood_specs.core.tables.blocks import BlockForm
from knowngood_specs.core.tables.form import read_form
from knowngood_specs.panels.reason_dialog import ReasonDialog
from knowngood_specs.panels.tables_dialog import TableDialog
from knowngood_specs.panels.tables_tab import GO_ON, TablesTab

from .in_dialogs import in_next
from .test_table_form import ARMY, ENTRIES

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from knowngood.api import Host
    from knowngood_refdata.records import SessionInfo, Vehicle

    from ..open_host import OpenHost

PSI_PA = 6_894.757
BAROMETER_PA = 95_000.0
IDLE = SteadyWindow(
    10.0,
    90.0,
    780.0,
    1,
    "idle",
    {
        Quantity.HIGH_SIDE: Estimate(150 * PSI_PA + BAROMETER_PA, 2_000.0),
        Quantity.LOW_SIDE: Estimate(20 * PSI_PA + BAROMETER_PA, 2_000.0),
    },
)


@pytest.fixture
def harrier(host: OpenHost, skerry: int) -> Vehicle:
    """A vehicle with R-134a, as the manual's table is for."""
    (found,) = vehicles.search(host.store, "harrier")
    return found


@pytest.fixture
def tab(qtbot: QtBot, host: OpenHost, harrier: Vehicle) -> TablesTab:
    made = TablesTab(cast("Host", host))
    qtbot.addWidget(made)
    made.resize(700, 900)
    made.show_vehicle(harrier)
    made.show()
    return made


@pytest.fixture
def army(host: OpenHost, harrier: Vehicle) -> int:
    """US Army TM 5-3805-291-23-1, work package 0018, table 1 (public document)."""
    read = read_form(ENTRIES, [BlockForm(ARMY)])
    assert read.table is not None
    assert read.publication is not None
    draft = tables.TableDraft(read.table, read.publication.kind, read.publication.citation)
    return tables.add(host.store, draft, vehicle_id=harrier.id)


def texts(tab: TablesTab) -> str:
    QApplication.processEvents()
    return "\n".join(one.text() for one in tab.findChildren(QLabel) if one.isVisible())


def fill(dialog: TableDialog, text: str = ARMY) -> None:
    dialog._fill({**ENTRIES, "blocks": []})
    dialog.blocks.cells.paste(text)


def session_of(host: OpenHost, vehicle: Vehicle) -> SessionInfo:
    recorded = Recording(np.array([0.0, 100.0]), (Channel("P", Role.HIGH_SIDE, "bar", True, np.ones(2)),))
    draft = SessionDraft(
        vehicle_id=vehicle.id,
        unit_id=None,
        title="Season check",
        refrigerant="R-134a",
        source_name="log.csv",
        conditions=Conditions(
            ambient_k=305.15, barometer_pa=BAROMETER_PA, air_source=AirSource.RECIRCULATION
        ),
        instruments=Instruments(),
        findings=Findings((IDLE,)),
    )
    return sessions.info(host.store, sessions.save(host.store, draft, recorded, b"log"))


def test_a_vehicle_without_a_table_says_that_nothing_is_known_from_publications(tab: TablesTab) -> None:
    assert "nothing is known from publications yet" in texts(tab)
    assert tab.today.isHidden()


def test_the_army_table_pasted_into_the_cells_is_stored_and_answers_on_screen(
    tab: TablesTab, host: OpenHost, harrier: Vehicle
) -> None:
    def enter(dialog: TableDialog) -> None:
        fill(dialog)
        said = "\n".join(one.text() for one in dialog.findChildren(QLabel))
        assert "Goes by ambient (°C): 21, 27, 32, 38, 43" in said
        dialog.accept()

    in_next(TableDialog, enter)
    tab.add_button.click()
    (held,) = tables.tables(host.store, harrier.id)
    assert (held.citation, held.page, held.entered_by) == ("TM 5-3805-291-23-1", "WP 0018", "Ada Fell")
    host.units.set_system(System.US)
    tab.today.form.ambient.setText("32 °C")
    said = texts(tab)
    assert f"Published table: {ENTRIES['title']} (generic)" in said
    assert "not data of this vehicle" in said
    assert "170.0 to 240.0 psig" in said
    assert "the row for 32 °C ambient" in said
    host.units.set_system(System.SI)
    assert "11.7 to 16.5 bar g" in texts(tab)
    assert tab.today.steady_window is None


def test_between_and_outside_the_rows_the_screen_says_how_or_why_not(
    tab: TablesTab, army: int, harrier: Vehicle
) -> None:
    tab.show_vehicle(harrier)
    tab.today.form.ambient.setText("29.5 °C")
    assert "between the rows for 27 and 32 °C ambient: interpolated linearly" in texts(tab)
    tab.today.form.ambient.setText("45 °C")
    said = texts(tab)
    assert said.count("the table ends at 43 °C ambient, and today it is 45 °C") == 1
    assert said.count("no range") == 2
    tab.today.form.ambient.setText("32 °C")
    tab.today.form.state.setCurrentText("at rest")
    assert "the table is for a running system, and today it is at rest" in texts(tab)


def test_another_refrigerant_than_the_table_is_for_is_refused_on_screen(
    tab: TablesTab, host: OpenHost, skerry: int
) -> None:
    vehicle = vehicles.vehicle(host.store, skerry)
    read = read_form(ENTRIES, [BlockForm(ARMY)])
    assert read.table is not None
    assert read.publication is not None
    tables.add(host.store, tables.TableDraft(read.table, read.publication.kind, "TM"), vehicle_id=skerry)
    tab.show_vehicle(vehicle)
    tab.today.form.ambient.setText("32 °C")
    assert "R-134a in the table, R-1234yf today" in texts(tab)


def test_a_session_of_the_vehicle_gives_conditions_and_markers(
    tab: TablesTab, host: OpenHost, army: int, harrier: Vehicle
) -> None:
    host.bench.take_vehicle(harrier)
    host.bench.take_session(session_of(host, harrier))
    tab.show_vehicle(harrier)
    assert tab.today.form.ambient.si() == pytest.approx(305.15)
    rows = {row.name: row for row in _strips(tab)}
    # By hand: 150 psi lies below 170-240 psi, 20 psi inside 15-30 psi, both at the barometer of the session.
    assert (rows["high side"].word, rows["low side"].word) == ("below", "inside")
    assert rows["high side"].value == pytest.approx(150 * PSI_PA / 1e5, rel=1e-6)
    assert rows["high side"].outer == pytest.approx((170 * PSI_PA / 1e5, 240 * PSI_PA / 1e5), rel=1e-6)
    assert (rows["high side"].ticks, rows["high side"].inner) == ((), None)


def test_conditions_changed_by_hand_are_no_longer_those_of_the_session(
    tab: TablesTab, host: OpenHost, army: int, harrier: Vehicle
) -> None:
    host.bench.take_vehicle(harrier)
    host.bench.take_session(session_of(host, harrier))
    tab.show_vehicle(harrier)
    host.units.set_system(System.US)
    assert tab.today.steady_window is not None
    tab.today.form.ambient.setText("100 °F")
    assert tab.today.steady_window is None
    assert {row.word for row in _strips(tab)} == {""}


def test_a_session_of_another_vehicle_gives_nothing(
    tab: TablesTab, host: OpenHost, army: int, harrier: Vehicle
) -> None:
    (combe,) = vehicles.search(host.store, "combe")
    host.bench.take_vehicle(combe)
    host.bench.take_session(session_of(host, combe))
    tab.show_vehicle(harrier)
    assert tab.today.form.ambient.si() is None
    assert "is of another vehicle" in texts(tab)


def test_an_unreadable_cell_keeps_the_dialog_open_and_everything_in_it(
    tab: TablesTab, host: OpenHost, harrier: Vehicle
) -> None:
    def enter(dialog: TableDialog) -> None:
        fill(dialog, ARMY.replace("170-240", "240-170"))
        dialog.accept()
        assert dialog.isVisible()
        assert "line 4: the range '240-170' runs downwards" in dialog._notes.text()

    in_next(TableDialog, enter)
    tab.add_button.click()
    assert tables.tables(host.store, harrier.id) == ()
    assert tab.add_button.text() == GO_ON
    seen: list[tuple[BlockForm, ...]] = []
    in_next(TableDialog, lambda dialog: seen.append(dialog.blocks.blocks))
    tab.add_button.click()
    assert "240-170" in seen[0][0].text


def test_what_was_typed_for_a_table_outlives_the_program(
    qtbot: QtBot, tab: TablesTab, host: OpenHost, harrier: Vehicle
) -> None:
    in_next(TableDialog, fill)
    tab.add_button.click()
    host.drafts.save()
    host.drafts.close()
    host.drafts = Drafts(host.drafts._file.path)
    again = TablesTab(cast("Host", host))
    qtbot.addWidget(again)
    again.show_vehicle(harrier)
    assert again.add_button.text() == GO_ON
    seen: list[tuple[BlockForm, ...]] = []
    in_next(TableDialog, lambda dialog: seen.append(dialog.blocks.blocks))
    again.add()
    assert seen[0][0].text == ARMY.replace(" | ", "\t")


def test_a_table_that_someone_else_changed_is_not_overwritten(
    tab: TablesTab, host: OpenHost, army: int, harrier: Vehicle
) -> None:
    tab.show_vehicle(harrier)
    theirs = tables.table(host.store, army)
    assert theirs.table is not None

    def correct(dialog: TableDialog) -> None:
        draft = tables.TableDraft(theirs.table, theirs.source_kind, "their citation")  # type: ignore[arg-type]
        tables.edit(host.store, army, theirs.version, draft)
        dialog.fields["citation"].setText("mine")  # type: ignore[union-attr]
        dialog.accept()
        assert "Someone else changed this table" in dialog._trouble.text()
        assert dialog.fields["citation"].text() == "mine"  # type: ignore[union-attr]
        dialog._theirs.click()
        assert dialog.fields["citation"].text() == "their citation"  # type: ignore[union-attr]
        dialog.fields["page"].setText("7")  # type: ignore[union-attr]
        dialog.accept()
        assert not dialog.isVisible()

    in_next(TableDialog, correct)
    tab.cards[0].edit_button.click()
    now = tables.table(host.store, army)
    assert (now.citation, now.page) == ("their citation", "7")


def test_a_table_is_taken_out_of_use_with_a_reason_and_brought_back(
    tab: TablesTab, host: OpenHost, army: int, harrier: Vehicle
) -> None:
    tab.show_vehicle(harrier)

    def give_reason(dialog: QDialog) -> None:
        assert isinstance(dialog, ReasonDialog)
        reason = dialog.findChild(QPlainTextEdit)
        assert reason is not None
        reason.setPlainText("for another engine")
        dialog.accept()

    in_next(QDialog, give_reason)
    tab.cards[0].retire.emit()
    assert tables.tables(host.store, harrier.id) == ()
    assert "Published tables out of use" in texts(tab)
    tab.bring_back(tables.tables(host.store, harrier.id, retired=True)[0])
    assert [one.id for one in tables.tables(host.store, harrier.id)] == [army]


def test_a_table_entered_for_the_family_answers_for_its_other_vehicles(
    tab: TablesTab, host: OpenHost, skerry: int
) -> None:
    drafts = (
        VehicleDraft("Fen", model, "1.2", 2017, maker="Fen", family="F4") for model in ("Wader", "Plover")
    )
    one, other = (vehicles.vehicle(host.store, vehicles.add_vehicle(host.store, draft)) for draft in drafts)
    tab.show_vehicle(one)

    def enter(dialog: TableDialog) -> None:
        fill(dialog)
        dialog.owner.setCurrentIndex(1)
        dialog.accept()

    in_next(TableDialog, enter)
    tab.add()
    tab.show_vehicle(other)
    assert "of the system family F4" in texts(tab)
    tab.today.form.ambient.setText("21 °C")
    assert "the row for 21 °C ambient" in texts(tab)


def test_markup_in_what_was_typed_stays_text(tab: TablesTab, host: OpenHost, harrier: Vehicle) -> None:
    read = read_form({**ENTRIES, "title": "<b>Loud</b>"}, [BlockForm(ARMY, name="<i>block</i>")])
    assert read.table is not None
    draft = tables.TableDraft(read.table, SourceKind.GENERIC, "<u>book</u>")
    tables.add(host.store, draft, vehicle_id=harrier.id)
    tab.show_vehicle(harrier)
    tab.today.form.ambient.setText("21 °C")
    QApplication.processEvents()
    marked = [one for one in tab.findChildren(QLabel) if one.isVisible() and "<" in one.text()]
    assert len(marked) == 4
    assert {one.textFormat() for one in marked} == {Qt.TextFormat.PlainText}


def test_cells_of_a_spreadsheet_are_pasted_with_the_keyboard(qtbot: QtBot, tab: TablesTab) -> None:
    texts_typed: list[str] = []

    def paste(dialog: TableDialog) -> None:
        QGuiApplication.clipboard().setText(ARMY.replace(" | ", "\t"))
        dialog.blocks.cells.setCurrentCell(0, 0)
        QTest.keyClick(dialog.blocks.cells, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
        texts_typed.append(dialog.blocks.blocks[0].text)

    in_next(TableDialog, paste)
    tab.add_button.click()
    assert texts_typed == [ARMY.replace(" | ", "\t")]


def _strips(tab: TablesTab) -> list[StripRow]:
    QApplication.processEvents()
    return [row for strips in tab.findChildren(RangeStripList) if strips.isVisible() for row in strips.rows]
