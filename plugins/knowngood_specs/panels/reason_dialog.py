"""Asks for the reason of a change that is kept in the history."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFormLayout, QVBoxLayout

from knowngood_specs.core.form import Problem, missing
from knowngood_specs.panels.form_dialog import FormDialog, text_block
from knowngood_specs.panels.labels import plain

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from PySide6.QtWidgets import QWidget

WHY_MISSING = "Say why: the reason stays in the history with your name."


class ReasonDialog(FormDialog):
    """One entry, the reason; ``words`` say what will be done, ``button`` does it."""

    def __init__(
        self,
        title: str,
        words: str,
        button: str,
        save: Callable[[str], None],
        keep: Callable[[dict[str, str]], None],
        kept: Mapping[str, object] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(title, keep, parent)
        self._save = save
        self.name_button(button)
        form = QFormLayout()
        form.addRow("&Reason", self.entry("why", text_block(name="reason", lines=4)))
        column = QVBoxLayout()
        column.addWidget(plain(words))
        column.addLayout(form)
        column.addStretch(1)
        self.form.addLayout(column)
        self.begin(kept)
        self.resize(760, 300)

    def check(self) -> Sequence[Problem]:
        """What stands against saving."""
        return missing(self.entries()["why"], "why", WHY_MISSING)

    def echo(self) -> str:
        """Nothing is read out of a reason."""
        return ""

    def store(self) -> None:
        """Do it."""
        self._save(self.entries()["why"].strip())
