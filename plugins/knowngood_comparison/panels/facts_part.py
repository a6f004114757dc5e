"""Facts and law: a notice of the cautions, a field to look for words, and the facts with their sources."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QPushButton, QTextBrowser, QVBoxLayout

from knowngood.widgets import Card, theme
from knowngood.widgets.form import named, words
from knowngood_comparison.core.facts_found import cautions, groups
from knowngood_comparison.panels.facts_html import facts_html
from knowngood_comparison.panels.part import GAP, MARGINS, Part

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host

NOTHING_FOUND = "No fact holds every one of these words. Try fewer, or the beginning of one."
FEWER, ALL = "Fewer cautions", "All cautions"
A2L = (
    "R-1234yf can burn: class A2L, lower flammability. Keep flames, sparks and hot surfaces away, ventilate, "
    "use equipment made for it, and never work on it with equipment of another refrigerant."
)
_STYLE = (
    f"body {{ color: {theme.INK}; }} h3 {{ color: {theme.ACCENT}; margin-top: 14px; margin-bottom: 2px; }}"
    f"th {{ color: {theme.QUIET}; font-weight: normal; }}"
)


class FactsPart(Part):
    """Narrows the facts down as one types."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self.wanted, self.facts = QLineEdit(), QTextBrowser()
        self.cautions = QLabel()
        self._all = QPushButton()
        self._count = words("quiet")
        self._lay_out()
        self.wanted.textChanged.connect(self.refresh)
        self._all.toggled.connect(self._tell_cautions)
        self._tell_cautions()
        self.setFocusProxy(self.wanted)

    def refresh(self) -> None:
        """Show the facts that hold the words looked for."""
        found = groups(self.wanted.text())
        count = sum(len(group.lines) for group in found)
        self.facts.setHtml(facts_html(found) if found else f"<p>{NOTHING_FOUND}</p>")
        self._count.setText(f"{count} facts" if count != 1 else "1 fact")

    def sheet_html(self) -> str:
        """The cautions, and the facts as they are narrowed down."""
        told = "".join(f"<li>{escape(one)}</li>" for one in cautions())
        return f"<p><b>{escape(A2L)}</b></p><ul>{told}</ul>{facts_html(groups(self.wanted.text()))}"

    def _tell_cautions(self) -> None:
        whole = self._all.isChecked()
        self._all.setText(FEWER if whole else ALL)
        lines = [A2L, *(f"{one}." for one in cautions())] if whole else [A2L]
        self.cautions.setText("\n".join(lines))

    def _lay_out(self) -> None:
        self.cautions.setObjectName("notice")
        self.cautions.setWordWrap(True)
        self.cautions.setTextFormat(Qt.TextFormat.PlainText)
        self._all.setObjectName("link")
        self._all.setCheckable(True)
        self.wanted.setPlaceholderText("for instance: oil, AR4, J2788, from memory")
        self.wanted.setClearButtonEnabled(True)
        self.facts.setAccessibleName("facts of both refrigerants")
        self.facts.setOpenLinks(False)
        self.facts.setFrameShape(QTextBrowser.Shape.NoFrame)
        self.facts.document().setDefaultStyleSheet(_STYLE)
        self.facts.setMinimumHeight(260)
        notice = QHBoxLayout()
        notice.addWidget(self.cautions, stretch=1)
        notice.addWidget(self._all, alignment=Qt.AlignmentFlag.AlignTop)
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(named("&Look for", self.wanted))
        row.addWidget(self.wanted, stretch=1)
        row.addWidget(self._count)
        card = Card()
        card.body.addLayout(notice)
        card.body.addLayout(row)
        card.body.addWidget(self.facts, stretch=1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(*MARGINS)
        layout.setSpacing(GAP)
        self.columns.addWidget(card)
        layout.addLayout(self.columns, stretch=1)
