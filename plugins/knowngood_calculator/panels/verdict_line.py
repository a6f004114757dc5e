"""An answer in words: a verdict, which may take more than one line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.widgets.answer_line import AnswerLine
from knowngood.widgets.form import NAME_WIDTH

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.units import Units


class VerdictLine(AnswerLine):
    """An answer line whose words break where the card is narrow."""

    def __init__(
        self, name: str, units: Units, name_width: int = NAME_WIDTH, parent: QWidget | None = None
    ) -> None:
        super().__init__(name, units, name_width, parent, compact=True)
        self._number.setWordWrap(True)
