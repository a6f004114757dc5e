"""When readings were taken, typed as a date and a time of the day."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from PySide6.QtWidgets import QLineEdit, QWidget

_WRITTEN = "%Y-%m-%d %H:%M"
_AHEAD = timedelta(days=1)


class WhenEdit(QLineEdit):
    """A moment on the clock of the place, now until another one is typed."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(written(datetime.now(UTC)), parent)
        self.setPlaceholderText("2026-03-04 09:30")
        self.setCursorPosition(0)

    @property
    def moment(self) -> datetime | None:
        """What was typed, None when it cannot be read."""
        try:
            return datetime.strptime(self.text().strip(), _WRITTEN).astimezone()
        except (ValueError, OverflowError, OSError):
            return None

    @property
    def problem(self) -> str:
        """Why it cannot be stored, in words; empty when it can."""
        moment = self.moment
        if moment is None:
            return f"'{self.text().strip()}' is no date and time; write them like 2026-03-04 09:30."
        return "The readings lie in the future." if moment > datetime.now(UTC) + _AHEAD else ""


def written(moment: datetime) -> str:
    """A moment as the field shows it, on the clock of the place."""
    return f"{moment.astimezone():{_WRITTEN}}"
