"""What every part of the comparison is: cards for one question, shown under the bar of words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.widgets.sectioned_page import PageSection

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host

MARGINS = (20, 12, 20, 16)
GAP = 14


class Part(PageSection):
    """One part; a subclass lays out its cards, some of them in ``columns``, and answers in `refresh`."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self.columns = self.side_by_side()

    def refresh(self) -> None:
        """Answer everything anew: the part comes to the front, or the units have changed."""
        raise NotImplementedError

    def sheet_html(self) -> str:
        """The part as the body of a sheet of paper, every text escaped."""
        raise NotImplementedError
