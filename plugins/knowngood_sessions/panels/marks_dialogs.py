"""Small forms for what a person notes or sets in a session: a note, a window, a part to be kept."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QDialog, QDialogButtonBox, QLineEdit, QVBoxLayout, QWidget

from knowngood.widgets.form import form, words
from knowngood_refdata.queries.session_marks import KINDS, NoteDraft
from knowngood_refdata.queries.session_windows import WindowDraft
from knowngood_refdata.records import EventKind
from knowngood_sessions.time_entry import moment_text, parse_moment

if TYPE_CHECKING:
    from collections.abc import Sequence

_NAME_PX = 110
_MIN_PX = 380


class MarkDialog(QDialog):
    """Fields that are read when the dialog is accepted; what cannot be read is said, and it stays open."""

    def __init__(self, title: str, told: str, length_s: float, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.length_s = length_s
        self.problem = words("problem")
        self.problem.hide()
        self._layout = QVBoxLayout(self)
        if told:
            self._layout.addWidget(words("quiet", told))

    def lay_out(self, rows: Sequence[tuple[str, QWidget]]) -> None:
        """Place the named fields, and the buttons below them."""
        self._layout.addLayout(form([[row] for row in rows], _NAME_PX))
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        self._layout.addWidget(self.problem)
        self._layout.addWidget(buttons)
        self.setMinimumWidth(_MIN_PX)
        rows[0][1].setFocus()

    def accept(self) -> None:
        """Close when everything can be read, otherwise say what cannot."""
        try:
            self.read()
        except ValueError as error:
            self.problem.setText(str(error))
            self.problem.show()
            return
        super().accept()

    def read(self) -> object:
        """What the fields say; a ValueError tells what cannot be read."""
        raise NotImplementedError

    def moment(self, field: QLineEdit) -> float:
        """The moment in a field; what lies a little past the end is the end, as it is shown rounded."""
        at_s = parse_moment(field.text())
        if at_s > self.length_s + 1.0:
            raise ValueError(f"The session ends at {moment_text(self.length_s)}.")
        return min(at_s, self.length_s)


class NoteDialog(MarkDialog):
    """A note: of what kind, when, in which words."""

    def __init__(self, draft: NoteDraft, length_s: float, parent: QWidget | None = None) -> None:
        super().__init__("Note", "", length_s, parent)
        self.kind = QComboBox()
        self.kind.addItems([one.value for one in KINDS])
        self.kind.setCurrentText(draft.kind.value)
        self.text = QLineEdit(draft.text)
        self.text.setPlaceholderText("what was seen or changed")
        self.at = QLineEdit(moment_text(draft.at_s))
        self.until = QLineEdit("" if draft.until_s is None else moment_text(draft.until_s))
        self.until.setPlaceholderText("only for what lasted")
        self._at_s = draft.at_s
        self.lay_out([("&Words", self.text), ("&Kind", self.kind), ("&At", self.at), ("&Until", self.until)])

    def read(self) -> NoteDraft:
        """The note."""
        if not self.text.text().strip():
            raise ValueError("A note needs words: say what was seen or changed.")
        # A moment that was not retyped is kept to the last digit.
        kept = self.at.text() == moment_text(self._at_s)
        at_s = self._at_s if kept else self.moment(self.at)
        until_s = self.moment(self.until) if self.until.text().strip() else None
        if until_s is not None and until_s < at_s:
            raise ValueError("The note ends before it begins.")
        return NoteDraft(EventKind(self.kind.currentText()), at_s, self.text.text(), until_s)


class WindowDialog(MarkDialog):
    """A steady window by its ends and its name."""

    def __init__(self, draft: WindowDraft, length_s: float, parent: QWidget | None = None) -> None:
        told = "The window stands beside those that the program found; its values are worked out for it."
        super().__init__("Steady window set by hand", told, length_s, parent)
        self.start, self.end = (QLineEdit(moment_text(one)) for one in (draft.start_s, draft.end_s))
        self.label = QLineEdit(draft.label)
        self.lay_out([("&Start", self.start), ("&End", self.end), ("&Name", self.label)])

    def read(self) -> WindowDraft:
        """The window."""
        draft = WindowDraft(self.moment(self.start), self.moment(self.end), self.label.text().strip())
        if draft.end_s <= draft.start_s:
            raise ValueError("The window ends before it begins.")
        if not draft.label:
            raise ValueError("The window needs a name, such as 'idle'.")
        return draft


class CutDialog(MarkDialog):
    """A part of a session to be kept as a session of its own."""

    def __init__(
        self, span: tuple[float, float, str], length_s: float, parent: QWidget | None = None
    ) -> None:
        told = "The original stays as it is; the part shows the same samples and can be removed again."
        super().__init__("Keep a part as a session of its own", told, length_s, parent)
        self._span = span
        self.start, self.end = (QLineEdit(moment_text(one)) for one in span[:2])
        self.title = QLineEdit(span[2])
        self.lay_out([("&From", self.start), ("&Until", self.end), ("&Title", self.title)])

    def read(self) -> tuple[tuple[float, float, str], ...]:
        """The part."""
        start_s, end_s = (
            shown if field.text() == moment_text(shown) else self.moment(field)
            for field, shown in ((self.start, self._span[0]), (self.end, self._span[1]))
        )
        if end_s <= start_s:
            raise ValueError("The part ends before it begins.")
        return ((start_s, end_s, _titled(self.title)),)


class SplitDialog(MarkDialog):
    """Both parts of a session that is split."""

    def __init__(
        self,
        spans: Sequence[tuple[float, float, str]],
        length_s: float,
        parent: QWidget | None = None,
    ) -> None:
        told = (
            f"At {moment_text(spans[1][0])}. The original stays as it is; both parts show the same samples "
            "and can be removed again."
        )
        super().__init__("Split into two sessions", told, length_s, parent)
        self._spans = tuple(spans)
        self.titles = [QLineEdit(one[2]) for one in spans]
        self.lay_out([("&First part", self.titles[0]), ("&Second part", self.titles[1])])

    def read(self) -> tuple[tuple[float, float, str], ...]:
        """The two parts."""
        return tuple(
            (start_s, end_s, _titled(field))
            for (start_s, end_s, _), field in zip(self._spans, self.titles, strict=True)
        )


def _titled(field: QLineEdit) -> str:
    if not field.text().strip():
        raise ValueError("Each part needs a title.")
    return field.text().strip()
