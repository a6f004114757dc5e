"""Fields that a plugin brings: offered, shown under their heading, and kept when the plugin is gone."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import pytest
from PySide6.QtWidgets import QComboBox, QLabel

from knowngood.api import SpecField
from knowngood.loader import Plugins, find_sources
from knowngood.scales import System
from knowngood_refdata.drafts import SpecDraft
from knowngood_refdata.quantities import Kind
from knowngood_refdata.queries import vehicles
from knowngood_refdata.records import SourceKind
from knowngood_specs import library_export, library_import
from knowngood_specs.core.fields import FIELDS, Section
from knowngood_specs.library_export import Form, Lines, Wanted
from knowngood_specs.library_import import OpenedTable
from knowngood_specs.panels.record_tab import RecordTab
from knowngood_specs.panels.value_dialog import ValueDialog
from knowngood_specs.record_data import all_fields
from knowngood_specs.words import record_sections

if TYPE_CHECKING:
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.api import Host
    from knowngood_refdata.store import Store

    from ..open_host import OpenHost

HOSE = SpecField("hose length", "Hose length", Kind.LENGTH, example="2.4 m", section=Section.AIR)
BAY = SpecField("bay", "Bay", choices=("north", "south"), section="Depot")


def shown(store: Store, number: int, brought: tuple[SpecField, ...]) -> dict[str, str]:
    """The heading that each field with a value stands under."""
    sections = record_sections(vehicles.vehicle(store, number), System.SI, all_fields(store, brought))
    return {line.title: section.title for section in sections for line in section.fields}


@pytest.fixture
def with_hose(store: Store, skerry: int) -> int:
    draft = SpecDraft("hose length", 2.4, "2.4 m", SourceKind.MEASURED, "tape")
    vehicles.add_spec(store, skerry, draft)
    return skerry


def test_the_fields_of_the_record_are_brought_by_the_plugin_itself() -> None:
    sources = [one for one in find_sources(None) if one.name == "specs"]
    assert [one.name for one in Plugins(sources).spec_fields()] == [one.name for one in FIELDS]


def test_a_field_stands_under_its_heading_or_with_the_shops_own(store: Store) -> None:
    placed = {one.name: one.section for one in all_fields(store, (HOSE, BAY))}
    assert placed["hose length"] == Section.AIR
    assert placed["bay"] == Section.SHOP


def test_a_name_that_a_record_has_already_stays_what_it_is(store: Store) -> None:
    fields = all_fields(store, (SpecField("charge", "Something else"),))
    assert [one.title for one in fields if one.name == "charge"] == ["Charge weight"]


def test_a_value_is_kept_and_named_when_the_plugin_is_gone(store: Store, with_hose: int) -> None:
    assert shown(store, with_hose, (HOSE,))["Hose length"] == Section.AIR
    without = shown(store, with_hose, ())
    assert without["Hose length"] == Section.SHOP


def test_the_field_is_offered_when_a_value_is_added(qtbot: QtBot, store: Store, skerry: int) -> None:
    dialog = ValueDialog(
        vehicles.vehicle(store, skerry),
        lambda _draft: None,
        lambda _entries: None,
        fields=all_fields(store, (HOSE,)),
    )
    qtbot.addWidget(dialog)
    offered = next(one for one in dialog.findChildren(QComboBox) if one.accessibleName() == "field")
    assert offered.findText("Hose length") >= 0


def test_a_column_of_the_field_is_read_and_written(store: Store, with_hose: int, tmp_path: Path) -> None:
    path = tmp_path / "book.csv"
    wanted = Wanted(Form.CSV, lines=Lines.VEHICLES)
    library_export.write(store, path, wanted, brought=(HOSE,))
    opened = library_import.open_file(store, path, brought=(HOSE,))
    assert isinstance(opened, OpenedTable)
    assert "hose length: tolerance in" in path.read_text("utf-8-sig").splitlines()[0]
    assert "hose length" in {one.name for one in opened.fields}


def test_the_page_asks_the_host(qtbot: QtBot, host: OpenHost, with_hose: int) -> None:
    host.brought = (HOSE,)
    tab = RecordTab(cast("Host", host))
    qtbot.addWidget(tab)
    tab.show_vehicle(vehicles.vehicle(host.store, with_hose))
    assert "Hose length" in {one.text() for one in tab.findChildren(QLabel)}
