"""The entries of a published table's form: the publication, and the set-up it prescribes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QLineEdit

from knowngood_refdata.published.terms import Circuit, Doors
from knowngood_refdata.records import AirSource, MeteringDevice, Opening
from knowngood_specs.core.tables.limits import EXAMPLE
from knowngood_specs.core.tables.set_up import SUN
from knowngood_specs.panels.form_dialog import choice_entry, source_entry, text_entry

if TYPE_CHECKING:
    from collections.abc import Iterable

    from PySide6.QtWidgets import QWidget

    Pairs = list[tuple[str, QWidget]]

EITHER = f"{MeteringDevice.ORIFICE_TUBE}, {MeteringDevice.EXPANSION_VALVE}"


def publication_fields(fields: dict[str, QLineEdit | QComboBox]) -> Pairs:
    """Names and entries of the publication; the entries are added to ``fields`` by name."""
    made: list[tuple[str, str, QLineEdit | QComboBox]] = [
        ("&Title", "title", _line("as people will look for it")),
        ("&Kind of source", "source_kind", source_entry()),
        ("&Publication", "citation", _line("book or bulletin, by name and number")),
        ("&Revision", "revision", _line("edition or date")),
        ("Pa&ge", "page", _line("page, table")),
        ("Re&viewed by", "reviewed_by", _line("who compared it with the print")),
        ("&Circuit", "circuit", _pick(Circuit, "not said")),
        ("Second table is for", "wider_when", _line("if it prints a second, wider one")),
        ("Notes", "notes", _line("remarks, as printed")),
    ]
    return _added(made, fields)


def set_up_fields(fields: dict[str, QLineEdit | QComboBox]) -> Pairs:
    """Names and entries of the set-up; the entries are added to ``fields`` by name."""
    made: list[tuple[str, str, QLineEdit | QComboBox]] = [
        ("Engine speed", "engine", _line("1,500 rpm, idle, idle 700-800")),
        ("Blower", "blower", _line("maximum, or 75 %")),
        ("Air source", "air_source", _pick(AirSource)),
        ("Doors", "doors", _pick(Doors)),
        ("Windows", "windows", _pick(Opening)),
        ("Hood", "hood", _pick(Opening)),
        ("Sun", "sun", _pick(SUN)),
        ("Soak before", "soak", _line("10 min")),
        ("Run time", "run_time", _line("10 min before reading")),
        ("Gear", "gear", _line("neutral, park")),
        ("Refrigerant", "set_up_refrigerant", choice_entry(("R-134a", "R-1234yf"), name="refrigerant")),
        ("Expansion device", "metering", choice_entry((*MeteringDevice, EITHER), name="expansion device")),
        ("Holds only for", "limits", _line(EXAMPLE)),
        ("Controls", "controls", _line("maximum cold, vents")),
        ("Notes on it", "set_up_notes", _line("as printed")),
    ]
    return _added(made, fields)


def _added(
    made: Iterable[tuple[str, str, QLineEdit | QComboBox]], fields: dict[str, QLineEdit | QComboBox]
) -> Pairs:
    pairs: Pairs = []
    for title, name, field in made:
        fields[name] = field
        pairs.append((title, field))
    return pairs


def _line(hint: str) -> QLineEdit:
    return text_entry(hint, name=hint)


def _pick(choices: Iterable[str], none: str = "not said") -> QComboBox:
    box = QComboBox()
    box.addItem(none, "")
    for one in choices:
        box.addItem(str(one), str(one))
    return box
