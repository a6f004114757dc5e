"""The page of the known-good book: how well its ranges hold, patterns, doubtful readings."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Any

from knowngood.widgets.first_step_page import FirstStepPage
from knowngood.widgets.sectioned_page import SectionedPage, SectionEntry
from knowngood_book.gather import WholeBook, whole_book
from knowngood_book.words import NO_READINGS

if TYPE_CHECKING:
    from PySide6.QtGui import QShowEvent
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host

ENTRIES = (
    SectionEntry("patterns", "Patterns", "patterns_section", "PatternsSection"),
    SectionEntry("calibration", "How well ranges hold", "calibration_section", "CalibrationSection"),
    SectionEntry("doubtful", "Doubtful readings", "doubtful_section", "DoubtfulSection"),
)
FOOT = "From this shop's known-good readings alone; published and imported values stand apart."


class BookPage(FirstStepPage):
    """Looks at the book whenever it is shown and has changed."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(NO_READINGS, "Open the check-up", parent)
        self._host = host
        self._whole: WholeBook | None = None
        self.first_step.clicked.connect(lambda: host.show_page("checkup"))
        self.sections = BookSections(host)
        self.hold(self.sections)

    @property
    def whole(self) -> WholeBook | None:
        """The book that is shown."""
        return self._whole

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Look for what has come to the book since."""
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Look at the book anew."""
        store = self._host.store
        self._host.tasks.run(
            "Reading the book", lambda progress: whole_book(store, progress), done=self._take
        )

    def _take(self, whole: WholeBook) -> None:
        same = self._whole is not None and self._whole.book is whole.book
        if same:
            return
        self._whole = whole
        if not whole.book.readings:
            self.show_first_step()
            return
        self.sections.take_whole(whole)
        self.show_content()


class BookSections(SectionedPage):
    """The sections of a book that holds something."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(
            host, "knowngood_book.panels", ENTRIES, title="Known-good book", foot=FOOT, parent=parent
        )
        self._whole: WholeBook | None = None

    def take_whole(self, whole: WholeBook) -> None:
        """Show another book in the section in front."""
        self._whole = whole
        if self.front:
            self.refresh()
        else:
            self.show_section("patterns")

    def refresh_section(self, section: Any) -> None:
        """Show the book in a section."""
        if self._whole is not None:
            section.show_whole(self._whole)

    def section_html(self, section: Any) -> str:
        """The section as the body of a sheet."""
        parts = []
        for title, heads, rows, lines in section.paper():
            parts.append(f"<h3>{escape(title)}</h3>")
            parts += [f"<p>{escape(line)}</p>" for line in lines]
            if rows:
                head = "".join(f"<th align='left'>{escape(one)}</th>" for one in heads)
                body = "".join(
                    "<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>" for row in rows
                )
                parts.append(f"<table width='100%' cellpadding='2'><tr>{head}</tr>{body}</table>")
        return "".join(parts)
