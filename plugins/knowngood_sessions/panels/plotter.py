"""The session plotter: a recorded session over time, with what was found in it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QLabel, QPushButton, QStackedWidget, QVBoxLayout, QWidget

from knowngood.widgets import EmptyState
from knowngood_refdata.errors import StoreError
from knowngood_sessions.channel_layout import from_plain, to_plain
from knowngood_sessions.expected_bands import Expected
from knowngood_sessions.gather import load
from knowngood_sessions.opening import Opened, change_words, look_again, open_session
from knowngood_sessions.panels.cut_parts import CutParts
from knowngood_sessions.panels.following import Following
from knowngood_sessions.panels.marks_editor import MarksEditor
from knowngood_sessions.panels.session_bar import SessionBar
from knowngood_sessions.panels.session_dialogs import SessionDialogs
from knowngood_sessions.panels.session_export import SessionExport
from knowngood_sessions.panels.session_history import SessionHistory
from knowngood_sessions.panels.session_ranges import SessionRanges
from knowngood_sessions.panels.session_removal import SessionRemoval
from knowngood_sessions.panels.session_view import SessionView

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood.api import Host
    from knowngood_refdata.records import SessionInfo
    from knowngood_sessions.core.reading.reader import Notice
    from knowngood_sessions.gather import Session

DRAFT_KEY, LAYOUT_KEY = "sessions", "sessions plots"
VEHICLES_PAGE = "specs"
_MARGINS = (14, 12, 14, 12)


class PlotterPage(QWidget):
    """Shows the session in hand; makes sessions for the vehicle in hand."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("page")
        self._host = host
        self._shown: SessionInfo | None = None
        self._own_change = 0
        self.dialogs = SessionDialogs(host, self)
        self.following = Following(host, self)
        self.marks = MarksEditor(host, self)
        self.history = SessionHistory(host, self, self.marks)
        self.cuts = CutParts(host, self)
        self.removal = SessionRemoval(host, self)
        self.bar = SessionBar(host)
        self.view = SessionView(host)
        self.export = SessionExport(host, self.view)
        self.ranges = SessionRanges(host, self.view)
        self._empty = EmptyState("")
        self._message = QLabel()
        self._message.setWordWrap(True)
        self._message.setTextFormat(Qt.TextFormat.PlainText)
        self._go_on = QPushButton("Go on with it")
        self._lay_out()
        self._connect_bench()
        self._connect_dialogs()
        self._connect_view()
        host.drafts.keep(LAYOUT_KEY, self._kept_layout, self._restore_layout)
        host.drafts.keep(DRAFT_KEY, self.dialogs.snapshot, self.dialogs.restore)
        self._take()

    def print_report(self) -> None:
        """Ask for a place and write the report on the session there."""
        info = self._shown
        if info is not None:
            name, _ = QFileDialog.getSaveFileName(self, "Report to PDF", f"{info.title}.pdf", "PDF (*.pdf)")
            if name:
                self.write_report(info, Path(name))

    def write_report(self, info: SessionInfo, path: Path) -> None:
        """Write the report on a session off the GUI thread."""
        self._host.tasks.run(
            f"Report on {info.title}",
            lambda _: self._host.print_report(info.id, path),
            done=lambda _: self._host.say(f"The report was written to {path}."),
            failed=self._fail,
        )

    def follow_log(self) -> None:
        """Ask for a log that is still being written, and follow it."""
        name, _ = QFileDialog.getOpenFileName(self, "Follow a growing log", "", self.dialogs.file_filter())
        if name:
            self.following.start(Path(name))

    def _lay_out(self) -> None:
        self._stack = QStackedWidget()
        self._stack.addWidget(self._empty)
        self._stack.addWidget(self.view)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(*_MARGINS)
        layout.addWidget(self.bar)
        layout.addWidget(self._message)
        layout.addWidget(self._go_on, alignment=Qt.AlignmentFlag.AlignLeft)
        layout.addWidget(self.following.bar)
        layout.addWidget(self._stack, stretch=1)
        self._tell("")
        self._go_on.hide()

    def _connect_bench(self) -> None:
        bench = self._host.bench
        bench.session_changed.connect(self._take)
        bench.vehicle_changed.connect(self._take)
        bench.findings_changed.connect(self._findings_changed)
        self._host.units.changed.connect(self.view.refresh)
        self._empty.clicked.connect(self._first_step)

    def _connect_dialogs(self) -> None:
        dialogs, following = self.dialogs, self.following
        self.bar.import_wanted.connect(dialogs.ask_for_logs)
        self.bar.typing_wanted.connect(dialogs.hand.start)
        self.bar.following_wanted.connect(self.follow_log)
        self.bar.report_wanted.connect(self.print_report)
        self.bar.conditions_wanted.connect(self._revise)
        self.bar.columns_wanted.connect(self._mend)
        self.bar.history_wanted.connect(lambda: self._with_stored(self.history.show))
        self.bar.remove_wanted.connect(lambda: self._with_stored(self.removal.ask))
        self.bar.removed_wanted.connect(self.removal.list_removed)
        self.removal.told.connect(self._tell)
        self._go_on.clicked.connect(self._resume)
        dialogs.unfinished.connect(self._offer_to_go_on)
        dialogs.imported.connect(self._welcome)
        dialogs.known.connect(self._recognise)
        dialogs.mended.connect(lambda info: self._tell(f"The columns of '{info.title}' were mended."))
        following.began.connect(self._show_followed)
        following.found.connect(self._show_found)
        following.grew.connect(self.view.grow)
        following.stored.connect(self._welcome)
        following.ended.connect(self._take)
        edits = (self.marks, self.history, self.cuts, self.removal)
        for one in (dialogs, following, *edits, self.export, self.ranges):
            one.refused.connect(self._complain)

    def _connect_view(self) -> None:
        view, tools, stored = self.view, self.view.tools, self._with_stored
        tools.note_wanted.connect(lambda kind: stored(lambda one: self.marks.note(one, kind, view.moment())))
        tools.window_wanted.connect(lambda: stored(lambda one: self.marks.window(one, *view.shown_span())))
        tools.cut_wanted.connect(lambda: stored(lambda one: self.cuts.keep(one, *view.shown_span())))
        tools.split_wanted.connect(lambda: stored(lambda one: self.cuts.split(one, view.moment())))
        tools.picture_wanted.connect(self.export.ask_picture)
        tools.table_wanted.connect(self.export.ask_table)
        view.window_set.connect(
            lambda window, start, end: stored(lambda one: self.marks.set_window(one, window, start, end))
        )
        found = view.findings
        found.change_wanted.connect(lambda subject: stored(lambda one: self.marks.change(one, subject)))
        found.remove_wanted.connect(lambda subject: stored(lambda one: self.marks.remove(one, subject)))
        found.undo_wanted.connect(lambda: stored(self.marks.undo))
        view.overlays.chosen.connect(self._lay_over)
        view.layout_changed.connect(self._host.drafts.save)
        self.marks.stored.connect(self._mark_stored)
        self.cuts.made.connect(self._cut_made)
        self.export.told.connect(self._host.say)

    def _take(self) -> None:
        """Show the session in hand, or what to do first."""
        info = self._host.bench.session
        self.bar.refresh()
        self.following.show_aside(aside=info is not None)
        if info is None:
            self._shown = None
            self._show_none()
        elif info != self._shown:
            if self._shown is None or self._shown.id != info.id:
                self._tell("")
            self._shown = info
            self._open(info)

    def _show_none(self) -> None:
        if self.following.session is not None:
            self._show_followed(self.following.session)
            return
        vehicle = self._host.bench.vehicle
        where = "Take a vehicle in hand first: every session belongs to one."
        if vehicle is not None:
            other = ", or choose one above" if self.bar.holds_sessions else ""
            where = f"No session in hand. Import a log recorded on {vehicle.name}{other}."
        self._empty.set_text(where, "Choose a vehicle" if vehicle is None else "Import log...")
        self._stack.setCurrentWidget(self._empty)

    def _open(self, info: SessionInfo) -> None:
        store, rules = self._host.store, self._host.derived_channels(info.refrigerant)
        self._host.tasks.run(
            f"Opening {info.title}",
            lambda progress: open_session(store, info.id, rules, lambda part: progress(part, "reading")),
            done=self._loaded,
            failed=lambda error: self._cannot_open(info, error),
        )

    def _loaded(self, opened: Opened) -> None:
        session = opened.session
        if self._shown is None or self._shown.id != session.info.id:
            return
        laid = None if self.view.overlay is None else self.view.overlay.session.info.id
        self.view.show_session(session)
        self.view.overlays.show_sessions(opened.others, laid if self.view.overlay is not None else None)
        self.view.findings.set_undo(change_words(opened.undo))
        self._stack.setCurrentWidget(self.view)
        if session.problems:
            self._tell(" ".join(session.problems))
        self.ranges.look_up(session)

    def _cannot_open(self, info: SessionInfo, error: BaseException) -> None:
        if not isinstance(error, StoreError):
            raise error
        if self._shown is not None and self._shown.id == info.id:
            self.view.forget()
            self._empty.set_text(f"'{info.title}' cannot be shown. {error}")
            self._stack.setCurrentWidget(self._empty)
        self._complain(str(error))

    def _show_followed(self, session: Session) -> None:
        if self._host.bench.session is None:
            self._shown = None
            self._show_found(session)
            overlay = self.view.overlay
            self.view.overlays.show_sessions(
                self.bar.infos, None if overlay is None else overlay.session.info.id
            )
            self.view.findings.set_undo("")
            self._stack.setCurrentWidget(self.view)

    def _show_found(self, session: Session) -> None:
        if self._host.bench.session is None:
            self.view.show_session(session)
            self.view.show_expected(session, Expected(reason="the log is still being followed"))

    def _findings_changed(self, session_id: int) -> None:
        shown, own, self._own_change = self._shown, self._own_change, 0
        if shown is None or shown.id != session_id:
            return
        session = self.view.session
        if own != session_id or session is None or session.info.id != session_id:
            self._open(shown)
            return
        store = self._host.store
        self._host.tasks.run(
            f"Findings of {shown.title}",
            lambda _: look_again(store, session),
            done=self._loaded,
            failed=self._fail,
            quiet=True,
        )

    def _mark_stored(self, session_id: int) -> None:
        # The samples are the same: only what was found and noted is read again.
        self._own_change = session_id
        self._host.bench.findings_changed.emit(session_id)

    def _cut_made(self, info: SessionInfo, count: int) -> None:
        self._host.bench.take_session(info)
        self._tell(
            f"'{info.title}' was made of the session; the original stays as it was."
            if count == 1
            else "Both parts are sessions of their own now; the original stays as it was."
        )

    def _lay_over(self, info: SessionInfo | None) -> None:
        if info is None:
            self.view.lay_over(None)
            return
        store, rules = self._host.store, self._host.derived_channels(info.refrigerant)
        self._host.tasks.run(
            f"Opening {info.title}",
            lambda progress: load(store, info.id, rules, lambda part: progress(part, "reading")),
            done=self.view.lay_over,
            failed=self._fail,
        )

    def _with_stored(self, act: Callable[[Session], None]) -> None:
        """Do something with the session shown, if it is in the library."""
        session = self.view.session
        if session is None or self._shown is None:
            self._tell("This is possible once the session is stored.")
        else:
            act(session)

    def _kept_layout(self) -> dict[str, Any]:
        return {"plots": to_plain(self.view.layout_now)}

    def _restore_layout(self, kept: dict[str, Any]) -> None:
        self.view.set_layout(from_plain(kept.get("plots")))

    def _first_step(self) -> None:
        if self._host.bench.vehicle is None:
            self._host.show_page(VEHICLES_PAGE)
        else:
            self.dialogs.ask_for_logs()

    def _revise(self) -> None:
        if self.view.session is not None and self._shown is not None:
            self.dialogs.revision.start(self.view.session)

    def _mend(self) -> None:
        if self._shown is not None:
            self.dialogs.remapping.start(self._shown)

    def _welcome(self, info: SessionInfo, notices: tuple[Notice, ...]) -> None:
        self._host.say(f"{info.source_name} was imported as '{info.title}'.")
        self._tell(" ".join(one.text for one in notices))

    def _recognise(self, info: SessionInfo) -> None:
        self._host.bench.take_session(info)
        self._tell(
            f"{info.source_name} is in the library already, as '{info.title}'; it was not stored again."
        )

    def _offer_to_go_on(self, words: str) -> None:
        self._tell(words)
        self._go_on.show()

    def _resume(self) -> None:
        self._go_on.hide()
        self._tell("")
        self.dialogs.resume()

    def _fail(self, error: BaseException) -> None:
        if not isinstance(error, (StoreError, OSError)):
            raise error
        self._complain(str(error))

    def _complain(self, words: str) -> None:
        self._tell(words, problem=True)

    def _tell(self, words: str, *, problem: bool = False) -> None:
        self._message.setObjectName("problem" if problem else "quiet")
        self._message.style().unpolish(self._message)
        self._message.style().polish(self._message)
        self._message.setText(words)
        self._message.setVisible(bool(words))
