"""Small parts that the tabs of a record share."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtWidgets import QDialog, QLayout


def plain(
    text: str = "", name: str = "", *, top: bool = False, bold: bool = False, selectable: bool = True
) -> QLabel:
    """A text that can be read, selected and copied; markup in it stays text.

    ``name`` is one of the theme's ways, ``quiet`` or ``problem``. Where there are very many, doing without
    ``selectable`` saves most of the time.
    """
    label = QLabel(text)
    label.setTextFormat(Qt.TextFormat.PlainText)
    if selectable:
        label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    label.setWordWrap(True)
    label.setObjectName(name)
    if top:
        label.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
    if bold:
        # A style sheet of its own would cost a label more than everything else about it.
        font = label.font()
        font.setWeight(QFont.Weight.DemiBold)
        label.setFont(font)
    return label


class LabelPool:
    """Labels that are used again: making and styling one takes ten times as long as giving it a new text."""

    def __init__(self) -> None:
        self._idle: dict[tuple[str, bool], list[QLabel]] = {}
        self._used: list[tuple[tuple[str, bool], QLabel]] = []

    def label(self, text: str, name: str = "", *, bold: bool = False) -> QLabel:
        """A text as `plain` shows it, at the top of its place."""
        kind = (name, bold)
        idle = self._idle.get(kind)
        label = idle.pop() if idle else plain("", name, top=True, bold=bold)
        if label.text() != text:
            label.setText(text)
        if label.parentWidget() is not None and label.isHidden():
            label.show()
        self._used.append((kind, label))
        return label

    def take_back(self, layout: QLayout) -> None:
        """Take all labels out of the layout that holds nothing else; `hide_idle` ends what this begins."""
        while (item := layout.takeAt(0)) is not None:
            if (inner := item.layout()) is not None:
                while inner.takeAt(0) is not None:
                    pass
        for kind, label in reversed(self._used):
            self._idle.setdefault(kind, []).append(label)
        self._used.clear()

    def hide_idle(self) -> None:
        """Hide the labels that were not used again."""
        for labels in self._idle.values():
            for label in labels:
                label.hide()


def link(text: str, act: Callable[[], None], spoken: str = "") -> QPushButton:
    """A quiet button; ``spoken`` is what a screen reader calls it, when the text alone says too little."""
    button = QPushButton(text)
    button.setObjectName("link")
    button.setAutoDefault(False)
    button.setAccessibleName(spoken or text)
    button.clicked.connect(lambda: act())
    return button


def close_button(dialog: QDialog) -> QPushButton:
    """The button that closes a dialog; Enter never presses it."""
    button = QPushButton("Close")
    button.setAutoDefault(False)
    button.clicked.connect(dialog.reject)
    return button


def column(parent: QWidget, spacing: int = 14) -> QVBoxLayout:
    """The layout of a tab: its cards below one another, on the paper of the page."""
    parent.setObjectName("page")
    layout = QVBoxLayout(parent)
    layout.setContentsMargins(0, 0, 0, 0)
    layout.setSpacing(spacing)
    return layout


def clear(layout: QLayout) -> None:
    """Take everything out of a layout."""
    while (item := layout.takeAt(0)) is not None:
        if (widget := item.widget()) is not None:
            # Hidden at once: it would be painted until its deletion comes round.
            widget.hide()
            widget.deleteLater()
        elif (inner := item.layout()) is not None:
            clear(inner)
