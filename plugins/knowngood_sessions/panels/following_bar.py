"""The line above the plot that tells of a log being followed, and what can be done with it."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from knowngood.widgets.form import words

if TYPE_CHECKING:
    from knowngood_sessions.core.following.file import Seen

_TICK_MS = 1_000
_QUIET_S = 10.0
_MOST_TOLD = 3


class FollowingBar(QFrame):
    """Which file is followed, how much of it was read, how old the last sample is, and what is the matter.

    Attributes
    ----------
    pause_wanted, finish_wanted, discard_wanted, show_wanted, resume_wanted
        Signals of the buttons; ``resume_wanted`` takes up the following of an earlier run.
    """

    pause_wanted = Signal()
    finish_wanted = Signal()
    discard_wanted = Signal()
    show_wanted = Signal()
    resume_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self.setAccessibleName("The log that is followed")
        self._name = self._read = ""
        self._grew_at: float | None = None
        self._over = False
        self._title, self._state, self._told = QLabel(), words("problem"), words("quiet")
        self._title.setTextFormat(self._title.textFormat().PlainText)
        self._title.setWordWrap(True)
        self.pause_button = QPushButton("&Pause")
        self.finish_button = QPushButton("&Finish and store")
        self.discard_button = QPushButton("&Discard...")
        self.show_button = QPushButton("&Show it")
        self.resume_button = QPushButton("&Go on following")
        self._lay_out()
        self._tick = QTimer(self)
        self._tick.setInterval(_TICK_MS)
        self._tick.timeout.connect(self._write)
        self.hide()

    def offer(self, name: str) -> None:
        """Offer to take up a log that was followed when the program last ended."""
        self._open(name)
        self._title.setText(f"{name} was being followed when the program ended. Nothing of it is lost.")
        self._show_buttons(self.resume_button, self.discard_button)

    def wait(self, name: str, why: str) -> None:
        """Tell that a file holds nothing that can be read yet."""
        self._open(name)
        self._title.setText(f"Waiting for {name}.")
        self._say(f"{why} It is looked at again and again.")
        self._show_buttons(self.discard_button)

    def begin(self, name: str) -> None:
        """Tell that a file is followed from now on."""
        self._open(name)
        self._read = "reading"
        self._tick.start()
        self.set_paused(paused=False)
        self._write()

    def show_seen(self, seen: Seen) -> None:
        """Tell what a look brought."""
        count = 0 if seen.samples is None else seen.samples.time_s.size
        self._read = f"{count:,} samples, {_size(seen.read_bytes)} read"
        if seen.delta.count:
            self._grew_at = time.monotonic()
        self._say(seen.trouble)
        if seen.delta.told:
            self._told.setText(" ".join(seen.delta.told[:_MOST_TOLD]))
            self._told.setToolTip("\n".join(seen.delta.told))
            self._told.setVisible(True)
        self._over = seen.over
        if seen.over:
            self._show_buttons(self.finish_button, self.discard_button)
        self._write()

    def set_paused(self, *, paused: bool) -> None:
        """Offer to go on, or to pause."""
        self.pause_button.setText("&Go on" if paused else "&Pause")
        self._show_buttons(self.pause_button, self.finish_button, self.discard_button)

    def set_aside(self, *, aside: bool) -> None:
        """Offer to show the followed log while another session is shown."""
        self.show_button.setVisible(aside)

    def set_busy(self, what: str) -> None:
        """Tell that something is being done with the log, during which nothing else can be."""
        self._say(what, problem=False)
        self._show_buttons()

    def say(self, problem: str) -> None:
        """Tell what is the matter."""
        self._say(problem)

    def end(self) -> None:
        """Go away."""
        self._tick.stop()
        self.hide()

    def _open(self, name: str) -> None:
        self._name, self._grew_at, self._over = name, None, False
        self._say("")
        self._told.hide()
        self.show_button.hide()
        self.show()

    def _write(self) -> None:
        if not self._tick.isActive():
            return
        self._title.setText(f"{self._verb} {self._name}: {self._read}{self._age()}")

    @property
    def _verb(self) -> str:
        if self._over:
            return "Followed"
        return "Paused" if self.pause_button.text() == "&Go on" else "Following"

    def _age(self) -> str:
        """How old the last sample is, and what that means."""
        if self._grew_at is None or self._over:
            return "."
        age_s = time.monotonic() - self._grew_at
        quiet = age_s > _QUIET_S and self._verb == "Following"
        tail = " The logger may have stopped: finish to store the session." if quiet else ""
        return f", last sample {_age(age_s)} ago.{tail}"

    def _say(self, text: str, *, problem: bool = True) -> None:
        if problem != (self._state.objectName() == "problem"):
            self._state.setObjectName("problem" if problem else "quiet")
            self._state.style().unpolish(self._state)
            self._state.style().polish(self._state)
        self._state.setText(text)
        self._state.setVisible(bool(text))

    def _show_buttons(self, *shown: QPushButton) -> None:
        for button in (self.resume_button, self.pause_button, self.finish_button, self.discard_button):
            button.setVisible(button in shown)

    def _lay_out(self) -> None:
        self.finish_button.setObjectName("main")
        upper = QHBoxLayout()
        upper.addWidget(self._title, stretch=1)
        for button, signal in (
            (self.show_button, self.show_wanted),
            (self.resume_button, self.resume_wanted),
            (self.pause_button, self.pause_wanted),
            (self.finish_button, self.finish_wanted),
            (self.discard_button, self.discard_wanted),
        ):
            upper.addWidget(button)
            button.clicked.connect(signal)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 8, 14, 8)
        layout.addLayout(upper)
        layout.addWidget(self._state)
        layout.addWidget(self._told)


def _size(count: int) -> str:
    return f"{count / 1e6:,.1f} MB" if count >= 100_000 else f"{count / 1e3:,.1f} kB"


def _age(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 120.0 else f"{seconds / 60.0:.0f} min"
