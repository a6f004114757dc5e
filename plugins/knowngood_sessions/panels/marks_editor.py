"""What a person notes and sets in the session shown: asked for, stored, taken back."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Signal

from knowngood_refdata.queries import session_marks, session_windows
from knowngood_refdata.queries.session_marks import NoteDraft
from knowngood_refdata.queries.session_windows import WindowDraft
from knowngood_refdata.queries.undo import undo
from knowngood_refdata.records import Event, EventKind, SteadyWindow
from knowngood_sessions.core.finding.noted import LIKE_A_FAN
from knowngood_sessions.core.finding.windows import speed_name
from knowngood_sessions.opening import UNDO_WHY, last_change
from knowngood_sessions.panels.asker import Asker
from knowngood_sessions.panels.marks_dialogs import MarkDialog, NoteDialog, WindowDialog
from knowngood_sessions.reworking import mean_rpm, rework

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood_refdata.queries.history import Change
    from knowngood_refdata.store import Store
    from knowngood_sessions.gather import Session


class MarksEditor(Asker):
    """Stores notes and windows set by hand, off the GUI thread, and has the findings worked out anew.

    Attributes
    ----------
    stored
        Signal with the id of the session that something was stored for.
    """

    stored = Signal(int)
    dialog: MarkDialog | None

    def note(self, session: Session, kind: EventKind, at_s: float) -> None:
        """Ask for a note at a moment."""
        length_s = session.info.duration_s
        draft = NoteDraft(kind, min(max(at_s, 0.0), length_s), "")
        self._ask(
            session,
            NoteDialog(draft, length_s, self._window.window()),
            lambda store, said: session_marks.add(store, session.info.id, said),
            values=lambda said: said.kind in LIKE_A_FAN,
        )

    def window(self, session: Session, start_s: float, end_s: float) -> None:
        """Ask for a window between two moments."""
        draft = WindowDraft(start_s, end_s, self._label(session, start_s, end_s))
        self._ask_window(session, draft)

    def set_window(self, session: Session, window: SteadyWindow | None, start_s: float, end_s: float) -> None:
        """Store the ends of a window as they were dragged.

        One that the program found stays as it is; a new one is set beside it.
        """
        length_s = session.info.duration_s
        start_s, end_s = max(0.0, start_s), min(end_s, length_s)
        if window is not None and window.by_hand and window.id is not None:
            number, version = window.id, session.version_of(window)
            moved = WindowDraft(start_s, end_s, window.label)
            self._store(
                session, lambda store: session_windows.move(store, number, version, moved), values=True
            )
            return
        label = window.label if window is not None else self._label(session, start_s, end_s)
        draft = WindowDraft(start_s, end_s, label)
        self._store(session, lambda store: session_windows.add(store, session.info.id, draft), values=True)

    def change(self, session: Session, subject: SteadyWindow | Event) -> None:
        """Ask for other words or ends; of a window that the program found, for one to be set beside it."""
        length_s = session.info.duration_s
        if isinstance(subject, SteadyWindow):
            draft = WindowDraft(subject.start_s, subject.end_s, subject.label)
            self._ask_window(session, draft, subject if subject.by_hand else None)
            return
        said = NoteDraft(subject.kind, subject.at_s, subject.text, subject.until_s)
        number, version = subject.id or 0, session.version_of(subject)
        self._ask(
            session,
            NoteDialog(said, length_s, self._window.window()),
            lambda store, new: session_marks.change(store, number, version, new),
            values=lambda new: bool({said.kind, new.kind} & LIKE_A_FAN.keys()),
        )

    def remove(self, session: Session, subject: SteadyWindow | Event) -> None:
        """Take a note or a window set by hand away; it can be brought back."""
        number, version = subject.id or 0, session.version_of(subject)
        marks = session_windows if isinstance(subject, SteadyWindow) else session_marks
        values = isinstance(subject, Event) and subject.kind in LIKE_A_FAN
        self._store(session, lambda store: marks.remove(store, number, version), values=values)

    def undo(self, session: Session) -> None:
        """Take back what was done last to the notes and windows of a session."""

        def work(store: Store) -> None:
            change = last_change(store, session.info.id)
            if change is not None:
                undo(store, change.id, UNDO_WHY)

        self._store(session, work, values=True)

    def take_back(self, session: Session, change: Change) -> None:
        """Take back one change out of the history."""
        self._store(session, lambda store: undo(store, change.id, UNDO_WHY), values=True)

    def _ask_window(self, session: Session, draft: WindowDraft, window: SteadyWindow | None = None) -> None:
        def store_it(store: Store, said: WindowDraft) -> None:
            if window is None or window.id is None:
                session_windows.add(store, session.info.id, said)
            else:
                session_windows.move(store, window.id, session.version_of(window), said)

        dialog = WindowDialog(draft, session.info.duration_s, self._window.window())
        self._ask(session, dialog, store_it, values=lambda _: True)

    def _label(self, session: Session, start_s: float, end_s: float) -> str:
        return speed_name(mean_rpm(session.derived, start_s, end_s))

    def _ask(
        self,
        session: Session,
        dialog: MarkDialog,
        store_it: Callable[[Store, Any], object],
        *,
        values: Callable[[Any], bool],
    ) -> None:
        """Ask; ``values`` tells of what was said whether the findings are worked out anew."""
        if self.dialog is not None:
            dialog.deleteLater()
            self.dialog.raise_()
            return

        def accepted() -> None:
            said = dialog.read()
            self._store(session, lambda store: store_it(store, said), values=values(said))

        dialog.accepted.connect(accepted)
        self._show(dialog)

    def _store(self, session: Session, work: Callable[[Store], object], *, values: bool = False) -> None:
        """Store something, with ``values`` have the findings worked out anew, and tell that it is done."""
        store, number = self._host.store, session.info.id

        def whole(progress: Callable[..., None]) -> None:
            work(store)
            if values:
                rework(store, number, lambda part: progress(part, "findings"))

        self._host.tasks.run(
            f"Marks of {session.info.title}",
            whole,
            done=lambda _: self.stored.emit(number),
            failed=lambda error: self._not_stored(error, number),
        )

    def _not_stored(self, error: BaseException, number: int) -> None:
        self._fail(error)
        self.stored.emit(number)
