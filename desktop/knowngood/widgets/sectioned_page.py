"""A page of several sections under a bar of words, one of them in front, each to be put on paper."""

from __future__ import annotations

import importlib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QPushButton, QStackedWidget, QVBoxLayout, QWidget

from knowngood.api import Sheet
from knowngood.widgets.page_frame import PageFrame
from knowngood.widgets.section_bar import SectionBar

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtGui import QResizeEvent, QShowEvent

    from knowngood.api import Host

NARROW = 940
"""With less room than this the columns of a section stand below one another."""


@dataclass(frozen=True, slots=True)
class SectionEntry:
    """A section on the bar: its title, and the module and class that make it at its first showing."""

    key: str
    title: str
    module: str
    name: str


class PageSection(QWidget):
    """One section; a subclass lays out its cards, those side by side in rows of `side_by_side`."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.host = host
        self.setObjectName("page")
        self._rows: list[QHBoxLayout] = []

    def side_by_side(self) -> QHBoxLayout:
        """A row whose columns come to stand below one another where there is little room."""
        row = QHBoxLayout()
        row.setSpacing(16)
        self._rows.append(row)
        return row

    def set_narrow(self, narrow: bool) -> None:
        """Put columns below one another, or side by side again."""
        direction = QHBoxLayout.Direction.TopToBottom if narrow else QHBoxLayout.Direction.LeftToRight
        for row in self._rows:
            row.setDirection(direction)


class SectionedPage(QWidget):
    """Makes a section when it is first asked for; a subclass says how one is refreshed and printed.

    Parameters
    ----------
    package
        Where the modules of the entries lie, ``knowngood_calculator.panels``.
    title
        Stands before the section's on a sheet of paper.
    foot
        The quiet line at the foot of a sheet.
    head
        What stands above the bar on every section, if anything.
    """

    def __init__(
        self,
        host: Host,
        package: str,
        entries: Sequence[SectionEntry],
        *,
        title: str,
        foot: str,
        head: QWidget | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.host = host
        self.setObjectName("page")
        self._package, self._entries = package, tuple(entries)
        self._title, self._foot = title, foot
        self.bar = SectionBar([entry.title for entry in entries])
        self._stack = QStackedWidget()
        self._made: dict[str, Any] = {}
        self._frames: dict[str, QWidget] = {}
        self._front, self._seen = "", False
        self._lay_out(head)
        self.bar.chosen.connect(lambda number: self.show_section(self._entries[number].key))
        host.units.changed.connect(self.refresh)

    @property
    def front(self) -> str:
        """The key of the section in front."""
        return self._front

    def section(self, key: str) -> Any:
        """A section by its key, made at the first call."""
        if key not in self._made:
            entry = self._entry(key)
            module = importlib.import_module(f"{self._package}.{entry.module}")
            section: PageSection = getattr(module, entry.name)(self.host)
            section.set_narrow(self.width() < NARROW)
            self.take_in(section)
            self._made[key] = section
            self._frames[key] = PageFrame(section)
            self._stack.addWidget(self._frames[key])
        return self._made[key]

    def frame(self, key: str) -> QWidget:
        """What holds a section that was made, and scrolls it where it must."""
        return self._frames[key]

    def show_section(self, key: str) -> None:
        """Bring a section to the front."""
        section = self.section(key)
        focused = self.focusWidget()
        had_focus = focused is not None and self._stack.isAncestorOf(focused)
        self._front = key
        self.refresh_section(section)
        self._stack.setCurrentWidget(self._frames[key])
        if had_focus:
            self._frames[key].setFocus()
        self.bar.choose(self._entries.index(self._entry(key)))

    def refresh(self) -> None:
        """Answer the section in front anew; the others are answered when they come to the front."""
        if self._front:
            self.refresh_section(self._made[self._front])

    def sheet(self) -> Sheet:
        """The section in front as a sheet of paper."""
        entry = self._entry(self._front)
        return Sheet(
            f"{self._title}: {entry.title.lower()}", self.section_html(self._made[self._front]), self._foot
        )

    def take_in(self, section: Any) -> None:
        """Called once with every section that was made."""

    def refresh_section(self, section: Any) -> None:
        """Answer a section anew: it came to the front, or units or what concerns all have changed."""
        raise NotImplementedError

    def section_html(self, section: Any) -> str:
        """A section as the body of a sheet, with every text escaped."""
        raise NotImplementedError

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Put the columns of each section below one another where they do not fit, as at 200 % scale."""
        for section in self._made.values():
            section.set_narrow(self.width() < NARROW)
        super().resizeEvent(event)

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Look for what other pages have changed since this one was last seen."""
        super().showEvent(event)
        if self._seen:
            self.refresh()
        self._seen = True

    def _entry(self, key: str) -> SectionEntry:
        return next(one for one in self._entries if one.key == key)

    def _print(self) -> None:
        self.host.print_sheet(self.sheet())

    def _save_pdf(self) -> None:
        suggested = f"{self._title.lower()} {self._front.replace('_', ' ')}.pdf"
        name, _ = QFileDialog.getSaveFileName(self, "Save as PDF", suggested, "PDF (*.pdf)")
        if not name:
            return
        try:
            self.host.sheet_pdf(self.sheet(), Path(name))
        except OSError as error:
            self.host.say(str(error))
        else:
            self.host.say(f"Saved {name}.")

    def _lay_out(self, head: QWidget | None) -> None:
        for title, slot, key in (
            ("Save as PDF...", self._save_pdf, None),
            ("Print...", self._print, QKeySequence.StandardKey.Print),
        ):
            button = QPushButton(title)
            button.setObjectName("link")
            if key is not None:
                button.setShortcut(QKeySequence(key))
            button.clicked.connect(slot)
            self.bar.add_action(button)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 12, 0, 0)
        layout.setSpacing(6)
        if head is not None:
            framed = QVBoxLayout()
            framed.setContentsMargins(20, 0, 20, 0)
            framed.addWidget(head)
            layout.addLayout(framed)
        layout.addWidget(self.bar)
        layout.addWidget(self._stack, stretch=1)
