"""Another session laid over the one in hand: which, and how the two are aligned."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QComboBox, QDoubleSpinBox, QFormLayout, QLabel, QVBoxLayout, QWidget

from knowngood_sessions.overlaying import alignments
from knowngood_sessions.panels.session_bar import session_name

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.records import Event, SessionInfo
    from knowngood_sessions.overlaying import Alignment

_NONE = "none"
_FARTHEST_S = 1e6
_HINT = "The other session is drawn dashed and paler, each channel beside its namesake here."


class OverlayChooser(QWidget):
    """Two choices and a fine adjustment.

    Attributes
    ----------
    chosen
        Signal with the `SessionInfo` to lay over, or None.
    moved
        Signal: `shift_s` is another.
    """

    chosen = Signal(object)
    moved = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._infos: tuple[SessionInfo, ...] = ()
        self._ways: tuple[Alignment, ...] = alignments((), ())
        self.sessions = QComboBox()
        self.aligned = QComboBox()
        self.by = QDoubleSpinBox()
        self.by.setRange(-_FARTHEST_S, _FARTHEST_S)
        self.by.setDecimals(1)
        self.by.setSuffix(" s")
        self.by.setButtonSymbols(QDoubleSpinBox.ButtonSymbols.NoButtons)
        for box in (self.sessions, self.aligned):
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            box.setMinimumContentsLength(18)
        hint = QLabel(_HINT)
        hint.setObjectName("quiet")
        hint.setWordWrap(True)
        form = QFormLayout()
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        form.addRow("Session laid over this one", self.sessions)
        form.addRow("Aligned at", self.aligned)
        form.addRow("Moved further by", self.by)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(hint)
        layout.addLayout(form)
        layout.addStretch()
        self.sessions.activated.connect(self._choose)
        self.aligned.currentIndexChanged.connect(lambda _: self.moved.emit())
        self.by.valueChanged.connect(lambda _: self.moved.emit())
        self.show_sessions((), None)

    @property
    def shift_s(self) -> float:
        """What the other session's times are moved by."""
        return self._ways[max(0, self.aligned.currentIndex())].shift_s + self.by.value()

    def show_sessions(self, infos: Sequence[SessionInfo], laid_over: int | None) -> None:
        """Offer these sessions; ``laid_over`` is the id of the one that is."""
        self._infos = tuple(infos)
        blocked = QSignalBlocker(self.sessions)
        self.sessions.clear()
        self.sessions.addItems([_NONE, *(session_name(one) for one in infos)])
        ids = [one.id for one in infos]
        self.sessions.setCurrentIndex(1 + ids.index(laid_over) if laid_over in ids else 0)
        blocked.unblock()
        self.aligned.setEnabled(laid_over in ids)
        self.by.setEnabled(laid_over in ids)

    def show_ways(self, ours: Sequence[Event], theirs: Sequence[Event]) -> None:
        """Offer the ways to align two sessions in which these events were found; the way chosen stays."""
        before = self.aligned.currentText()
        self._ways = alignments(ours, theirs)
        blocked = QSignalBlocker(self.aligned)
        self.aligned.clear()
        words = [one.words for one in self._ways]
        self.aligned.addItems(words)
        self.aligned.setCurrentIndex(words.index(before) if before in words else 0)
        blocked.unblock()

    def _choose(self, index: int) -> None:
        blocked = QSignalBlocker(self.by)
        self.by.setValue(0.0)
        blocked.unblock()
        self.chosen.emit(self._infos[index - 1] if index else None)
