"""Explanations of what the readings show, the evidence for and against each, and what to measure next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood.widgets.sectioned_page import PageSection
from knowngood_checkup.explain_words import hidden_words, standing_words
from knowngood_checkup.panels.case_card import CaseCard
from knowngood_checkup.panels.explanation_list import ExplanationList
from knowngood_checkup.panels.next_card import NextCard
from knowngood_checkup.panels.weighing_card import WeighingCard
from knowngood_checkup.words import CAUTION

if TYPE_CHECKING:
    from knowngood.api import Host
    from knowngood_checkup.gather import SessionCheck


class ExplanationsSection(PageSection):
    """The ranking on the left, what can be done about it on the right.

    Attributes
    ----------
    stale
        An answer, a weighing or a case was put down.
    """

    stale = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self.ranking = ExplanationList(host)
        self.next = NextCard(host)
        self.weighing = WeighingCard(host)
        self.case = CaseCard(host)
        self._standing = words("cardTitle")
        self._hidden, caution = words("quiet"), words("quiet", CAUTION)
        left = Card("Explanations", "ranked by how well they fit every steady window together")
        for part in (self._standing, self.ranking, self._hidden, caution):
            left.body.addWidget(part)
        left.body.addStretch(1)
        columns = self.side_by_side()
        columns.addWidget(left, stretch=7)
        right = QVBoxLayout()
        right.setSpacing(14)
        for card in (self.next, self.weighing, self.case):
            right.addWidget(card)
            card.stale.connect(self.stale)
        right.addStretch(1)
        columns.addLayout(right, stretch=5)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 12, 20, 18)
        layout.addLayout(columns)

    def show_check(self, check: SessionCheck) -> None:
        """Show the explanations of a check-up."""
        explained = check.checkup.explained
        self._standing.setText(standing_words(explained))
        self.ranking.show_explained(explained)
        told = () if explained is None else hidden_words(explained)
        self._hidden.setText("\n".join(told))
        self._hidden.setVisible(bool(told))
        self.next.show_check(check)
        self.weighing.show_check(check)
        self.case.show_check(check)
