"""A form over something on record, which someone else may change while it is open."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QPushButton

from knowngood_refdata.errors import Conflict, StoreError
from knowngood_specs.panels.form_dialog import FormDialog

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from PySide6.QtWidgets import QWidget

WAS = "was "
"""Stands before the name of an entry where it is kept what was on record when the form was opened."""

GO_ON = "Go on from the record as it is now"


class RevisingDialog(FormDialog):
    """Shows both versions when they clash, and goes on from the newer one with what was typed.

    A subclass adds its entries, calls `begin_from` and answers `load`.

    Attributes
    ----------
    version
        The version of the record that the form stands on.
    """

    def __init__(
        self, title: str, keep: Callable[[dict[str, str]], None], parent: QWidget | None = None
    ) -> None:
        super().__init__(title, lambda entries: keep({**entries, **self._remembered()}), parent)
        self.version = 0
        self._base: dict[str, str] = {}
        self._newer: tuple[dict[str, str], int] | None = None
        self.go_on_button = QPushButton(GO_ON)
        self.go_on_button.setAutoDefault(False)
        self.go_on_button.clicked.connect(self._go_on)
        self.go_on_button.hide()
        self.after_trouble.addWidget(self.go_on_button)

    def load(self) -> tuple[dict[str, str], int]:
        """The entries as the record holds them now, and its version."""
        raise NotImplementedError

    def begin_from(
        self, on_record: Mapping[str, str], version: int, kept: Mapping[str, object] | None
    ) -> None:
        """Fill in the record, and over it what was typed in an earlier attempt, even on an older version."""
        self._base, self.version = dict(on_record), version
        self.begin(_typed(kept or {}, self._base), on_record)

    def met_conflict(self, error: Conflict) -> str:
        """Both versions of every entry that someone else changed."""
        try:
            self._newer = self.load()
        except StoreError as gone:
            return f"{gone} What you typed is still here."
        newer, mine = self._newer[0], self.entries()
        told = [
            f"\N{BULLET} {self._title(name)}: on record now '{text}', here '{mine[name]}'."
            for name, text in newer.items()
            if name in mine and text != self._base.get(name, "") and text != mine[name]
        ]
        self.go_on_button.show()
        return "\n".join([f"{error}", *told, "What you typed is still here."])

    def _go_on(self) -> None:
        if self._newer is None:
            return
        typed = {name: text for name, text in self.entries().items() if text != self._base.get(name, "")}
        self._base, self.version = self._newer
        self._newer = None
        self.go_on_button.hide()
        self.begin(typed, self._base)
        self._edited()

    def _remembered(self) -> dict[str, str]:
        return {f"{WAS}{name}": text for name, text in self._base.items()}

    def _title(self, name: str) -> str:
        return self._entries[name].accessibleName() or name


def _typed(kept: Mapping[str, object], base: Mapping[str, str]) -> dict[str, object]:
    """What was typed, without the entries that were left as the record had them then."""
    return {
        name: text
        for name, text in kept.items()
        if not name.startswith(WAS) and text != kept.get(f"{WAS}{name}", base.get(name, ""))
    }
