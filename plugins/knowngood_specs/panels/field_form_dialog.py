"""Asks for a field of the shop's own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QFormLayout, QVBoxLayout

from knowngood_specs.core.fields import Section
from knowngood_specs.panels.form_dialog import text_block, text_entry
from knowngood_specs.panels.labels import plain
from knowngood_specs.panels.revising_dialog import RevisingDialog
from knowngood_specs.shop_field_form import KINDS, WORDS, entries_of, read_field

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from PySide6.QtWidgets import QWidget

    from knowngood_refdata.queries.shop_fields import ShopField, ShopFieldDraft
    from knowngood_specs.core.form import Problem

NEW = {"section": str(Section.SHOP), "kind": WORDS}
STAYS = "Values already entered stay as they are, also when the kind of the field changes."


class FieldFormDialog(RevisingDialog):
    """Adds a field, or changes one.

    Parameters
    ----------
    changing
        The field to be changed, None for a new one.
    look
        All fields of the shop as they are on record now.
    save
        Stores the draft over a version, with a reason when a field is changed.
    """

    def __init__(
        self,
        changing: ShopField | None,
        look: Callable[[], Sequence[ShopField]],
        save: Callable[[ShopFieldDraft, int, str], None],
        keep: Callable[[dict[str, str]], None],
        kept: Mapping[str, object] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        title = "Add a field" if changing is None else f"Change the field {changing.title}"
        super().__init__(title, keep, parent)
        self._changing, self._look, self._save = changing, look, save
        self._others = tuple(one for one in look() if changing is None or one.id != changing.id)
        self._lay_out_entries()
        on_record = NEW if changing is None else entries_of(changing)
        self.begin_from(on_record, 0 if changing is None else changing.version, kept)
        self.resize(820, 360)

    def load(self) -> tuple[dict[str, str], int]:
        """The field as it is on record now."""
        if self._changing is None:
            return dict(NEW), 0
        number = self._changing.id
        self._changing = next((one for one in self._look() if one.id == number), self._changing)
        return entries_of(self._changing), self._changing.version

    def check(self) -> Sequence[Problem]:
        """What stands against saving."""
        return read_field(self.entries(), self._others, self._changing)[1]

    def echo(self) -> str:
        """How values of the field will be read."""
        kind = self.entries()["kind"]
        if kind == WORDS:
            return "Its values are kept as they are typed."
        return f"Its values are amounts ({kind}), typed with their unit and shown in either unit system."

    def store(self) -> None:
        """Save the field."""
        draft, _ = read_field(self.entries(), self._others, self._changing)
        if draft is not None:
            self._save(draft, self.version, self.entries().get("why", ""))

    def _lay_out_entries(self) -> None:
        rows = QFormLayout()
        rows.addRow("&Title", self.entry("title", text_entry("Belt tension", name="title")))
        rows.addRow("&Section", self.entry("section", _box([str(one) for one in Section], "section")))
        rows.addRow("&Kind", self.entry("kind", _box([str(one) for one in KINDS], "kind")))
        choices = text_block("one a line, if there are usual ones", name="choices")
        rows.addRow("&Choices", self.entry("choices", choices))
        column = QVBoxLayout()
        column.addLayout(rows)
        if self._changing is not None:
            rows.addRow("&Reason", self.entry("why", text_entry(name="reason")))
            column.addWidget(plain(STAYS, "quiet"))
        column.addStretch(1)
        self.form.addLayout(column)


def _box(choices: Sequence[str], name: str) -> QComboBox:
    box = QComboBox()
    for one in choices:
        box.addItem(one, one)
    box.setAccessibleName(name)
    return box
