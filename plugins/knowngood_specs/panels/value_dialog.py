"""Add a further value of one field, from its own source, to a vehicle on record; correct one."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

from knowngood_specs.core.fields import FIELDS
from knowngood_specs.core.value_form import form_of_value
from knowngood_specs.panels.form_dialog import FormDialog, text_entry
from knowngood_specs.panels.revising_dialog import RevisingDialog
from knowngood_specs.panels.value_entries import ValueEntries

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from PySide6.QtWidgets import QWidget

    from knowngood_refdata.drafts import SpecDraft
    from knowngood_refdata.records import SpecValue, Vehicle
    from knowngood_specs.core.fields import Field
    from knowngood_specs.core.form import Problem

BESIDE = "It will stand beside the values on record; none of them is changed."
IN_ITS_PLACE = (
    "The corrected value takes the place of the old one, under your name and not yet reviewed; the old one "
    "stays in the history. A value that another source prints is no correction: add it beside."
)


class ValueDialog(FormDialog):
    """Asks for a value; ``save``, ``keep`` and ``kept`` are as in `VehicleDialog`.

    ``fields`` are those to choose from.
    """

    def __init__(
        self,
        vehicle: Vehicle,
        save: Callable[[SpecDraft], None],
        keep: Callable[[dict[str, str]], None],
        kept: Mapping[str, object] | None = None,
        parent: QWidget | None = None,
        *,
        fields: Sequence[Field] = FIELDS,
    ) -> None:
        super().__init__(f"Add a value: {vehicle.name}", keep, parent)
        self._save = save
        self._value = ValueEntries(self, fields, words=BESIDE)
        self.begin(kept)
        self.resize(820, 380)

    def check(self) -> Sequence[Problem]:
        """What stands against saving."""
        return self._value.checked().problems

    def echo(self) -> str:
        """How the value is understood."""
        return self._value.echo()

    def store(self) -> None:
        """Save the value."""
        draft = self._value.checked().draft
        if draft is not None:
            self._save(draft)


class CorrectDialog(RevisingDialog):
    """Asks what a value should have been, and why.

    Parameters
    ----------
    save
        Stores the draft over a version of the value, with the reason; raises with words when it cannot.
    look
        The value as it is on record now; raises with words when it is gone.
    """

    def __init__(
        self,
        spec: SpecValue,
        save: Callable[[SpecDraft, int, str], None],
        look: Callable[[], SpecValue],
        keep: Callable[[dict[str, str]], None],
        kept: Mapping[str, object] | None = None,
        parent: QWidget | None = None,
        *,
        fields: Sequence[Field] = FIELDS,
    ) -> None:
        super().__init__(f"Correct a value: {spec.as_printed}", keep, parent)
        self._save, self._look = save, look
        self._value = ValueEntries(self, fields, words=IN_ITS_PLACE, fixed=spec.field)
        self._value.rows.addRow("What was w&rong", self.entry("why", text_entry(name="reason")))
        self.begin_from(_entries(spec), spec.version, kept)
        self.resize(820, 440)

    def load(self) -> tuple[dict[str, str], int]:
        """The value as it is on record now."""
        spec = self._look()
        return _entries(spec), spec.version

    def check(self) -> Sequence[Problem]:
        """What stands against saving."""
        return self._value.checked(correcting=True).problems

    def echo(self) -> str:
        """How the value is understood."""
        return self._value.echo()

    def store(self) -> None:
        """Save the correction."""
        draft = self._value.checked(correcting=True).draft
        if draft is not None:
            self._save(draft, self.version, self.entries()["why"].strip())


def _entries(spec: SpecValue) -> dict[str, str]:
    return asdict(form_of_value(spec))
