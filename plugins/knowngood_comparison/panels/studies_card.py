"""What others measured, with its source: so that nobody takes the table for what a car will do."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel

from knowngood.widgets import Card
from knowngood_comparison.core.studies import STUDIES
from knowngood_comparison.panels.rich_text import TABLE, quiet

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood_comparison.core.studies import Study

TITLE = "What was measured when R-1234yf took the place of R-134a"
SUBTITLE = "Measured differences also hold heat exchangers, pressure drop, compressor and oil."


class StudiesCard(Card):
    """The published studies, a paragraph each."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(TITLE, SUBTITLE, parent)
        label = QLabel(studies_html())
        label.setTextFormat(Qt.TextFormat.RichText)
        label.setWordWrap(True)
        label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.body.addWidget(label)


def studies_html() -> str:
    """The studies as a table: what was done, what was found, where it is published."""
    rows = "".join(_row(study) for study in STUDIES)
    return f"{TABLE}{rows}</table>"


def _row(study: Study) -> str:
    source = quiet(study.source)
    if study.reference_from_memory:
        source += f" <i>{quiet('(abstract read, reference from memory)')}</i>"
    return (
        f'<tr><td width="46%">{escape(study.found)}</td><td width="27%">{escape(study.how)}</td>'
        f'<td width="27%">{source}</td></tr>'
    )
