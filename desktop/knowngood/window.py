"""The main window: rail, top bar, pages made at their first click, status line with running work."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, Qt
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QMainWindow,
    QProgressBar,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QStackedWidget,
    QStatusBar,
    QVBoxLayout,
    QWidget,
)

from knowngood.api import Group, Page
from knowngood.pages.failed_page import FailedPage
from knowngood.rail import Rail
from knowngood.topbar import TopBar
from knowngood.widgets.page_frame import PageFrame

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtGui import QCloseEvent

    from knowngood.host import WindowHost
    from knowngood.tasks import Task

_SAY_MS = 8_000
_STATUS_HEIGHT = 30
_ORDER = list(Group)


class MainWindow(QMainWindow):
    """The window of one library.

    Attributes
    ----------
    host
        What the pages are given; set by `attach` before the first page is shown.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Knowngood")
        room = self.screen().availableSize()
        self.resize(min(1280, room.width()), min(800, room.height()))
        self._stack = QStackedWidget()
        self._status = QStatusBar()
        self._status.setSizeGripEnabled(False)
        self._status.setFixedHeight(_STATUS_HEIGHT)
        # What is written there must not widen the window.
        self._status.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self._status.setAccessibleName("status")
        self._pages: dict[str, Page] = {}
        self._made: dict[str, QWidget] = {}
        self._frames: dict[str, QWidget] = {}
        self._front = ""
        self.host: WindowHost | None = None

    @property
    def page_keys(self) -> tuple[str, ...]:
        """The keys of all pages, in the order of the rail."""
        return tuple(self._pages)

    def attach(self, host: WindowHost, pages: Sequence[Page]) -> None:
        """Fill the window for a host with the pages of the rail."""
        self.host = host
        self._pages = {page.key: page for page in _ordered(pages)}
        self._rail = Rail(tuple(self._pages.values()))
        self._rail.chosen.connect(self.show_page)
        body = QVBoxLayout()
        body.setContentsMargins(0, 0, 0, 0)
        body.setSpacing(0)
        body.addWidget(TopBar(host.bench, host.units))
        body.addWidget(self._stack, stretch=1)
        body.addWidget(self._status)
        centre = QWidget()
        centre.setObjectName("page")
        layout = QHBoxLayout(centre)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self._rail)
        layout.addLayout(body, stretch=1)
        self.setCentralWidget(centre)
        for task in host.tasks.running:
            self._show_task(task)
        host.tasks.started.connect(self._show_task)
        geometry = QByteArray.fromBase64(host.settings.now.window.encode("ascii", "ignore"))
        if not geometry.isEmpty():
            self.restoreGeometry(geometry)

    def show_page(self, key: str) -> None:
        """Bring a page to the front, making it when it is asked for first; an unknown key is ignored."""
        page = self._pages.get(key)
        if page is None:
            return
        if key not in self._made:
            self._made[key] = self._make(page)
            self._frames[key] = _framed(self._made[key])
            self._stack.addWidget(self._frames[key])
        self._front = key
        self._stack.setCurrentWidget(self._frames[key])
        self._rail.choose(key)
        self._made[key].setFocus(Qt.FocusReason.OtherFocusReason)

    def set_pages(self, pages: Sequence[Page]) -> None:
        """Have these pages on the rail from now on; the others leave, with what was shown of them."""
        assert self.host is not None
        former, self._pages = self._pages, {page.key: page for page in _ordered(pages)}
        gone = [key for key in self._made if self._pages.get(key) != former.get(key)]
        if gone:
            self.host.drafts.save()
        for key in gone:
            del self._made[key]
            frame = self._frames.pop(key)
            self._stack.removeWidget(frame)
            frame.deleteLater()
        self._rail.set_pages(tuple(self._pages.values()))
        if self._front in self._made:
            self._rail.choose(self._front)
        elif self._front:
            self.show_page(next(key for key in (self._front, *self._pages) if key in self._pages))

    def page_in_front(self) -> tuple[str, QWidget | None]:
        """Key and widget of the page in front."""
        return self._front, self._made.get(self._front)

    def statusBar(self) -> QStatusBar:  # noqa: N802 - Qt's name
        """The status line; it lies beside the rail, not below it."""
        return self._status

    def say(self, text: str, *, lasting: bool = False) -> None:
        """Show a short sentence in the status line, for some seconds or until the next one."""
        self._status.showMessage(text, 0 if lasting else _SAY_MS)

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 - Qt's name
        """Remember place and page, keep what is not saved, stop running work."""
        if self.host is not None:
            geometry = bytes(self.saveGeometry().toBase64().data()).decode("ascii")
            self.host.settings.change(window=geometry, last_page=self._front)
            self.host.drafts.close()
            self.host.tasks.close()
        super().closeEvent(event)

    def _make(self, page: Page) -> QWidget:
        assert self.host is not None
        try:
            return page.factory(self.host)
        except Exception as error:  # noqa: BLE001 - one page must not take the window down
            return FailedPage(page, error)

    def _show_task(self, task: Task) -> None:
        line = _TaskLine(task)
        self._status.addPermanentWidget(line)
        task.ended.connect(lambda: self._drop(line))

    def _drop(self, line: QWidget) -> None:
        self._status.removeWidget(line)
        line.deleteLater()


def _ordered(pages: Sequence[Page]) -> list[Page]:
    return sorted(pages, key=lambda page: (_ORDER.index(page.group), page.order))


def _framed(page: QWidget) -> QWidget:
    return page if isinstance(page, QScrollArea) else PageFrame(page)


class _TaskLine(QWidget):
    """One piece of running work: what, how far, and a way to stop it."""

    def __init__(self, task: Task) -> None:
        super().__init__()
        self._title = QLabel(task.title)
        self._bar = QProgressBar()
        self._bar.setRange(0, 0)
        self._bar.setTextVisible(False)
        self._bar.setFixedWidth(140)
        cancel = QPushButton("Cancel")
        cancel.setAccessibleName(f"cancel {task.title}")
        cancel.clicked.connect(task.cancel)
        cancel.clicked.connect(lambda: cancel.setEnabled(False))
        cancel.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(4, 0, 4, 0)
        for widget in (self._title, self._bar, cancel):
            layout.addWidget(widget, alignment=Qt.AlignmentFlag.AlignVCenter)
        task.progressed.connect(self._follow)

    def _follow(self, fraction: float, text: str) -> None:
        self._bar.setRange(0, 1000)
        self._bar.setValue(round(1000 * fraction))
        if text:
            self._title.setText(text)
