"""What is known about one plugin, and what can be decided about it."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFont, QFontDatabase, QGuiApplication, QTextCursor
from PySide6.QtWidgets import QFormLayout, QHBoxLayout, QLabel, QPlainTextEdit, QPushButton, QWidget

from knowngood.api import API_VERSION
from knowngood.loader import State
from knowngood.loader.output import MOST
from knowngood.loader.record import READING
from knowngood.widgets import Card

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood.loader import Failure, PluginStatus
    from knowngood.loader.status import About

DOT = "   \N{MIDDLE DOT}   "
_MOST_COSTS = 4
_TALLEST_PX, _FRAME_PX = 160, 12
_UNDECIDED = {State.WAITING, State.REFUSED, State.NOT_ALLOWED, State.DOES_NOT_FIT}


class PluginCard(Card):
    """One plugin.

    Attributes
    ----------
    approved, refused
        Signals with the name and the hash that was shown.
    enabled, disabled
        Signals with the name.
    """

    approved = Signal(str, str)
    refused = Signal(str, str)
    enabled = Signal(str)
    disabled = Signal(str)

    def __init__(self, status: PluginStatus, parent: QWidget | None = None) -> None:
        version = f" {status.version}" if status.version else ""
        title = f"{status.name}{version}{DOT}{status.state}"
        super().__init__(title, _subtitle(status), parent)
        self._status = status
        self._add_state()
        if status.state is State.RUNNING:
            self.body.addWidget(plain(f"Brings {', '.join(status.contributions) or 'nothing so far'}."))
        self._add_cost()
        for failure in status.failures:
            self._add_failure(failure)
        self._add_output()
        self._add_buttons()

    def _add_state(self) -> None:
        status, about = self._status, self._status.about
        if status.reason:
            words = plain(status.reason)
            words.setObjectName("notice" if status.state is State.WAITING else "")
            self.body.addWidget(words)
        if about is not None and about.sha256:
            self.body.addLayout(_facts(status, about, whole=status.state in _UNDECIDED))

    def _add_cost(self) -> None:
        status = self._status
        if status.slow and not status.built_in:
            spent = max(status.start_ms, status.loaded_ms)
            words = plain(f"It adds {spent:.0f} ms to the start; {_BUDGET}")
            words.setObjectName("problem")
            self.body.addWidget(words)
        dear = [f"{one.what} {_ms(one.total_ms)} ({_times_over(one.calls)})" for one in status.costs]
        if dear and status.state is State.RUNNING and not status.built_in:
            self.body.addWidget(quiet(f"Time: {', '.join(dear[:_MOST_COSTS])}."))

    def _add_failure(self, failure: Failure) -> None:
        words = plain(f"Failed while {failure.during}: {failure.words}. Other plugins are not affected.")
        words.setObjectName("problem")
        self.body.addWidget(words)
        if failure.during == READING:
            # Nothing of the plugin has run: the sentence says it all.
            return
        view = _page_of_text(failure.traceback, "traceback")
        # What failed stands in the last lines.
        view.moveCursor(QTextCursor.MoveOperation.End)
        self.body.addWidget(view)

    def _add_output(self) -> None:
        status = self._status
        if not status.printed_size or status.built_in:
            return
        cut = f"; the first {MOST:,} are kept" if status.printed_size > MOST else ""
        self.body.addWidget(plain(f"It printed {status.printed_size:,} characters{cut}."))
        self.body.addWidget(_page_of_text(status.printed, "output"))

    def _add_buttons(self) -> None:
        status = self._status
        sha256 = status.about.sha256 if status.about is not None else ""
        approve = partial(self.approved.emit, status.name, sha256)
        refuse = partial(self.refused.emit, status.name, sha256)
        enable = partial(self.enabled.emit, status.name)
        disable = partial(self.disabled.emit, status.name)
        offered: dict[State, list[tuple[str, Callable[[], object]]]] = {
            State.WAITING: [("Approve and run", approve), ("Refuse", refuse)],
            State.REFUSED: [("Approve and run", approve)],
            State.OFF: [("Switch on", enable)],
            State.RUNNING: [("Switch off", disable)],
            State.PREPARING: [("Switch off", disable)],
            State.FAILED: [("Load again", enable), ("Switch off", disable)],
        }
        buttons = [_button(text, act, status.name) for text, act in offered.get(status.state, [])]
        if status.state is State.WAITING:
            buttons[0].setObjectName("main")
        if status.failures:
            buttons.append(_button("Copy the traceback", self._copy, status.name))
        if buttons:
            self.body.addLayout(_row(*buttons))

    def _copy(self) -> None:
        status = self._status
        who = f"{status.name} {status.version}".strip()
        QGuiApplication.clipboard().setText(
            "\n".join(f"{who}, {one}\n{one.traceback}" for one in status.failures)
        )


_BUDGET = "a plugin that imports what it needs only when it is needed adds less than 20 ms."


def plain(text: str) -> QLabel:
    """A text that is shown as it is, whatever it holds."""
    label = QLabel(text)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label


def quiet(text: str) -> QLabel:
    """The same, in the second row."""
    label = plain(text)
    label.setObjectName("quiet")
    return label


def _facts(status: PluginStatus, about: About, *, whole: bool) -> QFormLayout:
    """What a plugin is, where it lies, and its hash; all of it while a decision is open."""
    form = QFormLayout()
    form.setHorizontalSpacing(16)
    form.setVerticalSpacing(3)
    if about.summary:
        form.addRow(quiet("What it is"), plain(about.summary))
    if whole:
        form.addRow(quiet("Author"), plain(about.author or "not named"))
        form.addRow(quiet("Lies in"), plain(status.place))
        form.addRow(quiet("Files"), plain(f"{about.files}, {_size(about.size)} together"))
        form.addRow(quiet("Written for"), plain(_api(about.api)))
    digest = plain(about.sha256)
    digest.setFont(_fixed_font())
    digest.setStyleSheet("font-size: 8.5pt;")
    digest.setAccessibleName("SHA-256")
    form.addRow(quiet("SHA-256"), digest)
    return form


def _subtitle(status: PluginStatus) -> str:
    origin = "part of the program" if status.built_in else str(status.origin)
    if status.state in _UNDECIDED:
        return origin
    times = f"{_ms(status.loaded_ms)} to load, {_ms(status.called_ms)} since"
    return (
        f"{origin}: {status.place}{DOT}{times}"
        if status.state is State.RUNNING
        else f"{origin}: {status.place}"
    )


def _ms(spent: float) -> str:
    return f"{spent:.0f} ms" if spent >= 1.0 else "under 1 ms"


def _times_over(calls: int) -> str:
    return "once" if calls == 1 else f"{calls} times"


def _size(number: int) -> str:
    return f"{number / 1e6:.1f} MB" if number >= 1e6 else f"{number / 1e3:.1f} KB"


def _api(stated: int | None) -> str:
    if stated is None:
        return f"no version of the plugin API is stated; taken as version {API_VERSION}"
    return f"version {stated} of the plugin API; this program offers {API_VERSION}"


def _fixed_font() -> QFont:
    return QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont)


def _button(text: str, act: Callable[[], object], name: str = "") -> QPushButton:
    button = QPushButton(text)
    button.setAutoDefault(True)
    button.setAccessibleName(f"{text}: {name}" if name else text)
    button.clicked.connect(lambda: act())
    return button


def _row(*buttons: QPushButton) -> QHBoxLayout:
    row = QHBoxLayout()
    for button in buttons:
        row.addWidget(button)
    row.addStretch(1)
    return row


def _page_of_text(text: str, name: str) -> QPlainTextEdit:
    view = QPlainTextEdit(text)
    view.setReadOnly(True)
    view.setTabChangesFocus(True)
    view.setFont(_fixed_font())
    view.setStyleSheet("font-size: 9pt;")
    line = view.fontMetrics().lineSpacing()
    view.setFixedHeight(min(_TALLEST_PX, (text.count("\n") + 2) * line + _FRAME_PX))
    view.setAccessibleName(name)
    return view
