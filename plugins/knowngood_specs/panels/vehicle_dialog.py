"""Add a vehicle configuration with the spec values of one source."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFormLayout, QHBoxLayout, QLabel, QVBoxLayout

from knowngood.formatting import System, parse_with_tolerance
from knowngood.widgets.room import open_at
from knowngood_refdata.quantities import Kind
from knowngood_specs.core.fields import CHARGE, COMPRESSOR, EVAPORATORS, FAN, METERING, REFRIGERANT
from knowngood_specs.core.form import Checked, read_vehicle, vehicle_form
from knowngood_specs.panels.form_dialog import FormDialog, choice_entry, form_part, source_entry, text_entry
from knowngood_specs.words import charge_echo

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from PySide6.QtWidgets import QWidget

    from knowngood.widgets import Card
    from knowngood_refdata.drafts import VehicleDraft
    from knowngood_specs.core.form import Problem


def read_mass(text: str) -> tuple[float, float | None]:
    """A weight and its tolerance [kg]; the unit is always in the text, so no system decides it."""
    return parse_with_tolerance(text, Kind.MASS, System.SI)


class VehicleDialog(FormDialog):
    """Asks for a vehicle.

    Parameters
    ----------
    save
        Stores the draft; raises with words when it cannot.
    keep
        Keeps what is typed, at every change.
    kept
        What was kept of an earlier attempt.
    """

    def __init__(
        self,
        save: Callable[[VehicleDraft], None],
        keep: Callable[[dict[str, str]], None],
        kept: Mapping[str, object] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__("Add a vehicle", keep, parent)
        self._save = save
        self.form.setSpacing(16)
        self.form.addWidget(self._vehicle_part(), stretch=1)
        values = QVBoxLayout()
        values.setSpacing(14)
        values.addWidget(self._system_part())
        values.addWidget(self._source_part())
        self.form.addLayout(values, stretch=1)
        self.begin(kept)
        open_at(self, 1120, 640)

    def check(self) -> Sequence[Problem]:
        """What stands against saving."""
        return self._checked().problems

    def echo(self) -> str:
        """How the charge weight is understood."""
        return charge_echo(self.entries()["charge"], read_mass)

    def store(self) -> None:
        """Save the vehicle with all its values, or nothing."""
        draft = self._checked().draft
        if draft is not None:
            self._save(draft)

    def _checked(self) -> Checked[VehicleDraft]:
        return read_vehicle(vehicle_form(self.entries()), read_mass)

    def _vehicle_part(self) -> Card:
        box, form = form_part("Vehicle")
        self._line(form, "&Make", "make")
        self._line(form, "M&odel", "model")
        self._line(form, "Generation", "generation", "as the maker counts them")
        self._line(form, "&Engine or drive", "engine", "1.6 petrol")
        self._line(form, "&Body", "body", "saloon, estate, van")
        self._span(
            form, "&Years", ("year_from", "first year", "first"), ("year_to", "last year", "still built")
        )
        self._span(
            form,
            "B&uilt",
            ("build_from", "first build month", "only with a split: 06/22"),
            ("build_to", "last build month", "last month"),
        )
        self._line(form, "Mar&ket", "market", "if it matters")
        form.addRow(
            "E&vaporators", self.entry("evaporators", choice_entry(EVAPORATORS.choices, name="evaporators"))
        )
        self._line(form, "Ma&de by", "maker", "empty: as the make")
        self._line(form, "System fami&ly", "family", "which A/C design it shares")
        self._line(form, "V&IN pattern", "vin_pattern", "first characters, ? for any")
        self._line(form, "Notes", "notes")
        return box

    def _line(self, form: QFormLayout, label: str, name: str, hint: str = "") -> None:
        form.addRow(label, self.entry(name, text_entry(hint, name=label.replace("&", "").lower())))

    def _span(self, form: QFormLayout, label: str, *ends: tuple[str, str, str]) -> None:
        row = QHBoxLayout()
        row.setSpacing(8)
        (first, first_name, first_hint), (last, last_name, last_hint) = ends
        begin = self.entry(first, text_entry(first_hint, name=first_name))
        row.addWidget(begin)
        row.addWidget(QLabel("to"))
        row.addWidget(self.entry(last, text_entry(last_hint, name=last_name)))
        title = QLabel(label)
        title.setBuddy(begin)
        form.addRow(title, row)

    def _system_part(self) -> Card:
        box, form = form_part("A/C system, as printed")
        gas = choice_entry(REFRIGERANT.choices, name="refrigerant")
        form.addRow("&Refrigerant", self.entry("refrigerant", gas))
        form.addRow("&Charge weight", self.entry("charge", text_entry(CHARGE.example, name="charge weight")))
        for label, name, field in (
            ("Com&pressor", "compressor", COMPRESSOR),
            ("Meterin&g device", "metering", METERING),
            ("&Fan", "fan", FAN),
        ):
            form.addRow(label, self.entry(name, choice_entry(field.choices, name=field.title)))
        return box

    def _source_part(self) -> Card:
        box, form = form_part("Source of these values")
        form.addRow("Kind of &source", self.entry("source_kind", source_entry()))
        hint = "label photo, or book and page"
        form.addRow("Where it s&tands", self.entry("citation", text_entry(hint, name="citation")))
        form.addRow("Revisio&n", self.entry("revision", text_entry("edition or date", name="revision")))
        self._line(form, "Page", "page", "of a book or bulletin")
        return box
