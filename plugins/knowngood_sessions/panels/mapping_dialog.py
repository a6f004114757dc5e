"""Confirm what the columns of a log are, and say under which conditions it was recorded."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from knowngood.widgets import Card
from knowngood_refdata.records import Role
from knowngood_sessions.core.assignment import as_plain, from_plain
from knowngood_sessions.panels.conditions_form import ConditionsForm
from knowngood_sessions.panels.mapping_form import MappingForm
from knowngood_sessions.panels.scrolled import scrolled

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood.units import Units
    from knowngood_refdata.records import Conditions, Instruments
    from knowngood_sessions.core.assignment import Assignment
    from knowngood_sessions.core.importing import Prepared

REFRIGERANTS = ("R-134a", "R-1234yf")
_CHOOSE = "choose"
_FROM_LOG = {
    Role.AMBIENT: "ambient_k",
    Role.INTAKE: "intake_k",
    Role.HUMIDITY: "relative_humidity",
    Role.BAROMETER: "barometer_pa",
}


class MappingDialog(QDialog):
    """Everything that an import needs to know; *Import* is possible once no question is open.

    Parameters
    ----------
    refrigerant
        That of the vehicle in hand, None when it is not on record: then it is asked for.
    """

    def __init__(
        self,
        prepared: Prepared,
        units: Units,
        refrigerant: str | None,
        vehicle_name: str,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Import {prepared.table.source_name}")
        self.prepared = prepared
        self.columns = MappingForm(prepared)
        self.conditions_form = ConditionsForm(units)
        self._refrigerant = QComboBox()
        self._refrigerant.addItems([_CHOOSE, *REFRIGERANTS])
        self._refrigerant.setCurrentText(refrigerant if refrigerant in REFRIGERANTS else _CHOOSE)
        self._refrigerant.setAccessibleName("Refrigerant")
        self._state = QLabel()
        self._state.setObjectName("problem")
        self._state.setWordWrap(True)
        self._questions = Card("Must be answered before the import")
        self._buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.import_button = QPushButton("Import")
        self.import_button.setObjectName("main")
        self.import_button.setDefault(True)
        self._buttons.addButton(self.import_button, QDialogButtonBox.ButtonRole.AcceptRole)
        self._lay_out(vehicle_name)
        self._buttons.accepted.connect(self.accept)
        self._buttons.rejected.connect(self.reject)
        self.columns.changed.connect(self._follow)
        self.conditions_form.changed.connect(self._follow)
        self._refrigerant.currentIndexChanged.connect(self._follow)
        self._follow()

    @property
    def mapping(self) -> Mapping[str, Assignment]:
        """What every column is taken for."""
        return self.columns.mapping

    @property
    def refrigerant(self) -> str:
        """The refrigerant chosen, empty while there is none."""
        chosen = self._refrigerant.currentText()
        return "" if chosen == _CHOOSE else chosen

    @property
    def conditions(self) -> Conditions:
        """The conditions entered."""
        return self.conditions_form.conditions()

    @property
    def instruments(self) -> Instruments:
        """The instruments chosen."""
        return self.conditions_form.instruments()

    def what_is_missing(self) -> str:
        """Why the log cannot be imported yet, in words; empty when it can."""
        count = len(self.columns.questions)
        if count:
            return "One question is open." if count == 1 else f"{count} questions are open."
        if not self.refrigerant:
            return "Choose the refrigerant: from the under-hood label, or as identified."
        return self.conditions_form.problem()

    def accept(self) -> None:
        """Close when nothing is missing."""
        if not self.what_is_missing():
            super().accept()

    def snapshot(self) -> dict[str, Any]:
        """Everything entered, for the drafts."""
        return {
            "mapping": as_plain(self.mapping),
            "form": self.conditions_form.snapshot(),
            "refrigerant": self._refrigerant.currentText(),
        }

    def restore(self, kept: dict[str, Any]) -> None:
        """Enter again what `snapshot` took."""
        self.columns.set_mapping(from_plain(kept["mapping"]))
        self.conditions_form.restore(kept["form"])
        self._refrigerant.setCurrentText(str(kept["refrigerant"]))

    def _follow(self) -> None:
        missing = self.what_is_missing()
        self._state.setText(missing)
        self.import_button.setEnabled(not missing)
        self._questions.setVisible(bool(self.columns.questions))
        used = {one.use for one in self.mapping.values()}
        for role, name in _FROM_LOG.items():
            if role in used:
                self.conditions_form.set_hint(name, "as recorded in the log")

    def _lay_out(self, vehicle_name: str) -> None:
        table = self.prepared.table
        told = "; ".join(one.text for one in table.notices)
        about = f"{len(table.lines):,} rows, {table.dialect}. {told}".strip()
        remembered = (
            " The mapping is the one confirmed before for this header." if self.prepared.remembered else ""
        )
        columns = Card("Columns of the log", about + remembered)
        columns.body.addWidget(scrolled(self.columns))
        self._questions.body.addWidget(scrolled(self.columns.question_list))
        left = QVBoxLayout()
        left.addWidget(columns, stretch=3)
        left.addWidget(self._questions, stretch=2)
        conditions = Card("Conditions", f"on {vehicle_name}. What is left empty counts as not recorded.")
        fluid = QFormLayout()
        fluid.addRow("Refrigerant", self._refrigerant)
        conditions.body.addLayout(fluid)
        conditions.body.addWidget(scrolled(self.conditions_form, sideways=False))
        conditions.setMaximumWidth(430)
        upper = QHBoxLayout()
        upper.addLayout(left, stretch=5)
        upper.addWidget(conditions, stretch=3)
        lower = QHBoxLayout()
        lower.addWidget(self._state, stretch=1)
        lower.addWidget(self._buttons)
        layout = QVBoxLayout(self)
        layout.addLayout(upper, stretch=1)
        layout.addLayout(lower)
        self.resize(1220, 720)
