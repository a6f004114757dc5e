"""What every section of the calculator is: fields and answers for one question, under a common head."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from knowngood.widgets.answer_line import AnswerLine
from knowngood.widgets.sectioned_page import PageSection
from knowngood_refdata.refrigerants import saturation
from knowngood_refdata.states import fluid

if TYPE_CHECKING:
    from knowngood_refdata.local_air import LocalAir
    from knowngood_refdata.refrigerants import SaturationCurve
    from knowngood_refdata.states import Fluid

GAP = 14
"""Between the cards of a section."""


@dataclass(frozen=True, slots=True)
class Given:
    """What the head of the page says: the refrigerant, and the air pressure that gauges count from."""

    refrigerant: str
    air: LocalAir

    @property
    def barometer_pa(self) -> float:
        """The local air pressure [Pa]."""
        return self.air.pressure_pa

    @property
    def curve(self) -> SaturationCurve:
        """The saturation curve of the refrigerant."""
        return saturation(self.refrigerant)

    @property
    def fluid(self) -> Fluid:
        """The states of the refrigerant."""
        return fluid(self.refrigerant)


class Section(PageSection):
    """One section; a subclass lays out its cards and answers in `refresh`.

    Attributes
    ----------
    copied
        Signal with the text of an answer that now lies on the clipboard.
    """

    copied = Signal(str)

    def refresh(self, given: Given) -> None:
        """Answer everything anew: the refrigerant, the air pressure or the unit system has changed."""
        raise NotImplementedError

    def finish(self) -> None:
        """Called once after the layout: hand on what the answers say about copying."""
        for line in self.findChildren(AnswerLine):
            line.copied.connect(self.copied)

    def columns(self, *columns: tuple[int, tuple[QWidget, ...]]) -> None:
        """Lay out cards in columns: for each its share of the width, and its cards from top to bottom."""
        row = self.side_by_side()
        self.setLayout(row)
        row.setContentsMargins(20, 12, 20, 16)
        for share, cards in columns:
            column = QVBoxLayout()
            column.setSpacing(GAP)
            for card in cards:
                column.addWidget(card, stretch=int(_grows(card)))
            if not any(_grows(card) for card in cards):
                column.addStretch(1)
            row.addLayout(column, stretch=share)

    def rows(self, *rows: tuple[QWidget, ...]) -> None:
        """Lay out cards in rows, those of a row of one width."""
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 12, 20, 16)
        layout.setSpacing(GAP)
        for cards in rows:
            row = self.side_by_side()
            for card in cards:
                row.addWidget(card, stretch=1)
            layout.addLayout(row)
        layout.addStretch(1)


def _grows(widget: QWidget) -> bool:
    return widget.sizePolicy().verticalPolicy() is QSizePolicy.Policy.Expanding
