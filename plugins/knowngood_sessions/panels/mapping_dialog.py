"""Confirm what the columns of a log are, and say under which conditions it was recorded."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtWidgets import QDialogButtonBox, QFormLayout, QHBoxLayout, QPushButton, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood_refdata.records import Role
from knowngood_sessions.core.mapping.assignment import as_plain, from_plain
from knowngood_sessions.panels.conditions_form import ConditionsForm
from knowngood_sessions.panels.leading_dialog import LeadingDialog
from knowngood_sessions.panels.mapping_choice import DeliberateChoice
from knowngood_sessions.panels.mapping_frame import chain, lay_around
from knowngood_sessions.panels.mapping_sheet import MappingSheet
from knowngood_sessions.panels.scrolled import scrolled

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood.units import Units
    from knowngood_refdata.queries.mappings import Confirmed
    from knowngood_refdata.records import Conditions, Instruments
    from knowngood_sessions.core.mapping.assignment import Assignment
    from knowngood_sessions.core.mapping.importing import Prepared

REFRIGERANTS = ("R-134a", "R-1234yf")
_CHOOSE = "choose"
_FROM_LOG = {
    Role.AMBIENT: "ambient_k",
    Role.INTAKE: "intake_k",
    Role.HUMIDITY: "relative_humidity",
    Role.BAROMETER: "barometer_pa",
}


class MappingDialog(LeadingDialog):
    """Everything that an import needs to know; *Import* is possible once no question is open.

    Parameters
    ----------
    refrigerant
        That of the vehicle in hand, None when it is not on record: then it is asked for.
    confirmed
        When the mapping was confirmed before, None when it was not or is not known.
    waiting
        How many files are to be imported after this one.
    """

    def __init__(
        self,
        prepared: Prepared,
        units: Units,
        refrigerant: str | None,
        vehicle_name: str,
        parent: QWidget | None = None,
        *,
        confirmed: Confirmed | None = None,
        waiting: int = 0,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Import {prepared.table.source_name}")
        self.prepared = prepared
        self._refrigerant = DeliberateChoice()
        self._refrigerant.addItems([_CHOOSE, *REFRIGERANTS])
        self._refrigerant.setCurrentText(refrigerant if refrigerant in REFRIGERANTS else _CHOOSE)
        self._refrigerant.setAccessibleName("Refrigerant")
        self.conditions_form = ConditionsForm(units)
        self.sheet = MappingSheet(prepared, units, _about(prepared, confirmed), self._around)
        self.columns = self.sheet.form
        self._state = words("problem")
        self._waiting = words("quiet")
        self._buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.import_button = QPushButton("&Import")
        self.import_button.setObjectName("main")
        self.import_button.setDefault(True)
        self._buttons.addButton(self.import_button, QDialogButtonBox.ButtonRole.AcceptRole)
        self._lay_out(vehicle_name)
        self.set_waiting(waiting)
        self._connect()
        self._follow()
        self.lead_on()

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

    def set_waiting(self, count: int) -> None:
        """Say how many files are to be imported after this one."""
        more = "One more file waits" if count == 1 else f"{count} more files wait"
        self._waiting.setText(f"{more} to be imported after this one." if count else "")
        self._waiting.setVisible(bool(count))

    def lead_on(self) -> None:
        """Lead the keyboard to what is to be done next: a question, the refrigerant, a field, the import."""
        if self.columns.question_list.focus_first():
            return
        if not self.refrigerant:
            self._refrigerant.setFocus()
        elif not self.conditions_form.focus_problem():
            self.import_button.setFocus()

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

    def _around(self) -> tuple[str, Conditions, Instruments]:
        return self.refrigerant, self.conditions, self.instruments

    def _connect(self) -> None:
        self._buttons.accepted.connect(self.accept)
        self._buttons.rejected.connect(self.reject)
        self.sheet.changed.connect(self._follow)
        self.columns.question_list.answered.connect(lambda _: self.lead_on())
        for signal in (self.conditions_form.changed, self._refrigerant.currentIndexChanged):
            signal.connect(self._follow)
            signal.connect(self.sheet.judge)

    def _follow(self) -> None:
        missing = self.what_is_missing()
        self._state.setText(missing)
        self.import_button.setEnabled(not missing)
        used = {one.use for one in self.mapping.values()}
        for role, name in _FROM_LOG.items():
            if role in used:
                self.conditions_form.set_hint(name, "as recorded in the log")
        chain(
            [
                *self.sheet.tab_order(),
                self._refrigerant,
                *self.conditions_form.entries,
                self.import_button,
                self._buttons.button(QDialogButtonBox.StandardButton.Cancel),
            ]
        )

    def _lay_out(self, vehicle_name: str) -> None:
        conditions = Card("Conditions", f"on {vehicle_name}. What is left empty counts as not recorded.")
        fluid = QFormLayout()
        fluid.addRow("&Refrigerant", self._refrigerant)
        self.conditions_form.align(fluid)
        conditions.body.addLayout(fluid)
        conditions.body.addWidget(scrolled(self.conditions_form, sideways=False))
        foot = QHBoxLayout()
        foot.addWidget(self._state, stretch=2)
        foot.addWidget(self._waiting, stretch=1)
        foot.addWidget(self._buttons)
        lay_around(self, self.sheet, conditions, (3, 4), foot)


def _about(prepared: Prepared, confirmed: Confirmed | None) -> str:
    """Size and kind of the file, what was mended in reading it, and where the mapping comes from."""
    table = prepared.table
    parts = [f"{table.source_name}: {len(table.lines):,} rows, {table.dialect}."]
    parts += [one.text for one in table.notices]
    if prepared.remembered and confirmed is not None:
        when = confirmed.at.astimezone()
        parts.append(
            f"The mapping is the one that {confirmed.by} confirmed for this header on "
            f"{when:%Y-%m-%d} at {when:%H:%M}; look it over."
        )
    elif prepared.remembered:
        parts.append("The mapping is the one confirmed before for this header; look it over.")
    return " ".join(parts)
