"""The step of an import of an exchange file: all of it or nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import words

if TYPE_CHECKING:
    from knowngood_specs.library_import import OpenedExchange

_TOLD = (
    "Everything in it is checked first and then added, all of it or nothing. Its vehicles stand beside those "
    "of this library: nothing on record is changed, and doubles are merged by hand afterwards. Every value "
    "keeps its source, and who entered it when."
)
_OURS = "This is our own shop's book: its &known-good readings stay known-good"
_ELSEWHERE = (
    "Otherwise known-good readings are marked as imported from elsewhere, and stand behind no expected range "
    "of this shop."
)


class ExchangeStep(QWidget):
    """Says what will happen, and asks whose book it is."""

    def __init__(self, opened: OpenedExchange, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.opened = opened
        self.ours = QCheckBox(_OURS)
        card = Card(f"Exchange file {opened.path.name}", f"{opened.size / 1e6:,.1f} MB")
        for one in (words("", _TOLD), self.ours, words("quiet", _ELSEWHERE)):
            card.body.addWidget(one)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(card)
        layout.addStretch(1)
        self.setFocusProxy(self.ours)
