"""A page that says what to do first as long as it has nothing to show."""

from __future__ import annotations

from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from knowngood.widgets.empty import EmptyState


class FirstStepPage(QWidget):
    """Shows a sentence with the first step, or what the page holds once there is something to show.

    Attributes
    ----------
    first_step
        The sentence and its button; a subclass connects what the button does.
    """

    def __init__(self, text: str, button_text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("page")
        self.first_step = EmptyState(text, button_text)
        self._stack = QStackedWidget()
        self._stack.addWidget(self.first_step)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._stack)

    def hold(self, content: QWidget) -> None:
        """Take what is shown once there is something; called once."""
        self._stack.addWidget(content)

    def show_content(self) -> None:
        """Bring what the page holds to the front."""
        self._stack.setCurrentIndex(1)

    def show_first_step(self, text: str = "", button_text: str = "") -> None:
        """Bring the first step to the front, with another sentence and button where one is given."""
        if text:
            self.first_step.set_text(text, button_text)
        self._stack.setCurrentIndex(0)
