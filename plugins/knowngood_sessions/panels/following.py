"""Following a log from the choice of the file to the stored session, for the session page."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QMessageBox

from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import vehicles
from knowngood_sessions.followed import session_of
from knowngood_sessions.panels.following_bar import FollowingBar
from knowngood_sessions.panels.following_log import FollowedLog
from knowngood_sessions.panels.following_start import FollowingStart, draft_of
from knowngood_sessions.panels.following_store import FollowingStore

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QWidget

    from knowngood.api import DerivedChannel, Host
    from knowngood_refdata.records import Findings, SessionInfo
    from knowngood_sessions.core.following.file import Seen
    from knowngood_sessions.core.following.shown import Growing
    from knowngood_sessions.core.mapping.importing import Prepared
    from knowngood_sessions.gather import Session
    from knowngood_sessions.library import Stored
    from knowngood_sessions.panels.following_start import Chosen

DRAFT_KEY = "sessions followed"


class Following(QObject):
    """Follows one log at a time for the vehicle that was in hand when it began.

    Attributes
    ----------
    bar
        The widget to be put above the plot; it shows itself when there is something to tell.
    session
        The session so far, None before the first sample and when nothing is followed.
    began
        Signal with the `Session`: it is to be shown from the start.
    grew
        Signal with the `Session`: it has further samples at its end.
    found
        Signal with the `Session`, whose findings have changed.
    stored
        Signal with the new `SessionInfo` and a tuple of notices.
    ended
        Signal without arguments: nothing is followed any more, and nothing was stored.
    refused
        Signal with words.
    """

    began = Signal(object)
    grew = Signal(object)
    found = Signal(object)
    stored = Signal(object, object)
    ended = Signal()
    refused = Signal(str)

    def __init__(self, host: Host, window: QWidget) -> None:
        super().__init__(window)
        self._host, self._window = host, window
        self.session: Session | None = None
        self.bar = FollowingBar()
        self._start = FollowingStart(host, window)
        self._store = FollowingStore(host, self)
        self._log: FollowedLog | None = None
        self._chosen: Chosen | None = None
        self._findings: Findings | None = None
        self._rules: Sequence[DerivedChannel] = ()
        self._offered: dict[str, Any] | None = None
        self._connect()
        host.drafts.keep(DRAFT_KEY, self._snapshot, self._restore)

    @property
    def active(self) -> bool:
        """Whether a log is being followed."""
        return self._log is not None

    @property
    def dialog(self) -> QObject | None:
        """The dialog that asks what the columns are, None while nothing is asked."""
        return self._start.dialog

    def start(self, path: Path, kept: dict[str, Any] | None = None, copy: Path | None = None) -> None:
        """Follow a file for the vehicle in hand.

        ``kept`` is what the dialog of an earlier run held, ``copy`` the place of what that run read.
        """
        vehicle = self._host.bench.vehicle
        if vehicle is None:
            self.refused.emit("Take the vehicle in hand first; a session belongs to one.")
        elif self.active or self._start.snapshot() is not None:
            self.refused.emit("One log is being followed already; finish or discard it first.")
        elif self._offered is not None:
            self.refused.emit("A log of an earlier run waits: go on following it or discard it first.")
        else:
            self._start.start(path, vehicle, kept, copy)

    def show_aside(self, *, aside: bool) -> None:
        """Tell whether another session is shown at the moment; the following goes on."""
        self.bar.set_aside(aside=aside and self.active)

    def pause(self) -> None:
        """Stop reading, or go on."""
        if self._log is None:
            return
        if self._log.paused:
            self.bar.set_paused(paused=False)
            self._log.start()
        else:
            self._log.pause()
            self.bar.set_paused(paused=True)

    def finish(self) -> None:
        """Read what is left and store the session as an import of the whole file."""
        log, chosen = self._log, self._chosen
        if log is not None and chosen is not None:
            self.bar.set_busy(f"{log.path.name} is being stored.")
            log.stop(lambda: self._store.store(log, chosen))

    def discard(self) -> None:
        """Follow no more and store nothing; the file stays as the logger wrote it."""
        if self._offered is not None:
            self._copy_of(self._offered).unlink(missing_ok=True)
        self._offered = None
        self._start.stop()
        self._forget()
        self.ended.emit()

    def _connect(self) -> None:
        self.bar.pause_wanted.connect(self.pause)
        self.bar.finish_wanted.connect(self.finish)
        self.bar.discard_wanted.connect(self._ask_to_discard)
        self.bar.resume_wanted.connect(self._resume)
        self.bar.show_wanted.connect(lambda: self._host.bench.take_session(None))
        self._start.chosen.connect(self._follow)
        self._start.waiting.connect(self.bar.wait)
        self._start.given_up.connect(self._gave_up)
        self._start.refused.connect(self._refuse)
        self._store.stored.connect(self._has_stored)
        self._store.asked.connect(self._ask_again)
        self._store.failed.connect(self._not_stored)

    def _follow(self, chosen: Chosen) -> None:
        if self._log is not None:
            # The whole file was asked about once more: it is stored as it was answered.
            self._chosen = chosen
            self.finish()
            return
        self._rules = self._host.derived_channels(chosen.facts.refrigerant)
        log = FollowedLog(self._host, chosen.path, chosen.mapping, chosen.facts, self._rules, chosen.copy)
        self.destroyed.connect(log.abandon)
        log.looked.connect(self._show)
        log.found.connect(self._show_found)
        log.failed.connect(self._fail)
        self._log, self._chosen, self._findings, self.session = log, chosen, None, None
        self.bar.begin(chosen.path.name)
        self._host.drafts.save()
        self._host.bench.take_session(None)
        log.start()

    def _show(self, seen: Seen) -> None:
        chosen = self._chosen
        self.bar.show_seen(seen)
        if chosen is None or not seen.delta.count or seen.samples is None or seen.barometer_pa is None:
            return
        first = self.session is None or seen.delta.anew
        self.session = session_of(
            chosen.path.name, chosen.facts, seen.samples, seen.barometer_pa, self._findings, self._rules
        )
        if first:
            self.began.emit(self.session)
        else:
            self.grew.emit(self.session)

    def _show_found(self, growing: Growing) -> None:
        session, chosen = self.session, self._chosen
        if session is None or chosen is None or growing.findings == self._findings:
            return
        self._findings = growing.findings
        self.session = replace(session, findings=growing.findings)
        self.found.emit(self.session)

    def _ask_again(self, prepared: Prepared) -> None:
        chosen = self._chosen
        if chosen is not None:
            self._not_stored("The whole file raises a question that its beginning did not.")
            self._start.ask_again(chosen, prepared)

    def _fail(self, error: BaseException) -> None:
        self.bar.say("The following has stopped because of a fault of the program; what was read is kept.")
        raise error

    def _has_stored(self, info: SessionInfo, stored: Stored | None) -> None:
        self._forget()
        self._host.bench.take_session(info)
        self._host.bench.findings_changed.emit(info.id)
        self.stored.emit(info, () if stored is None else stored.notices)

    def _not_stored(self, words: str) -> None:
        self.bar.set_paused(paused=True)
        self.bar.pause_button.hide()
        self.bar.say(words)

    def _forget(self) -> None:
        if self._log is not None:
            self._log.forget()
        self._log = self._chosen = self._findings = self.session = None
        self.bar.end()
        self._host.drafts.save()

    def _ask_to_discard(self) -> None:
        if not self.active:
            self.discard()
            return
        box = QMessageBox(self._window.window())
        box.setWindowTitle("Discard")
        box.setText("Follow this log no more and store nothing of it?")
        box.setInformativeText("The file stays as the logger wrote it and can be imported later.")
        box.setStandardButtons(QMessageBox.StandardButton.Discard | QMessageBox.StandardButton.Cancel)
        box.setDefaultButton(QMessageBox.StandardButton.Cancel)
        box.finished.connect(
            lambda answer: self.discard() if answer == QMessageBox.StandardButton.Discard else None
        )
        box.finished.connect(box.deleteLater)
        box.open()

    def _gave_up(self) -> None:
        if not self.active:
            self.bar.end()

    def _refuse(self, words: str) -> None:
        self.bar.end()
        self.refused.emit(words)

    def _snapshot(self) -> dict[str, Any] | None:
        chosen = self._chosen
        if chosen is not None:
            return draft_of(chosen.path, chosen.vehicle, chosen.entered, chosen.copy)
        return self._start.snapshot() or self._offered

    def _restore(self, kept: dict[str, Any]) -> None:
        self._offered = kept
        self.bar.offer(Path(str(kept["path"])).name)

    def _resume(self) -> None:
        kept = self._offered
        if kept is None:
            return
        try:
            vehicle = vehicles.vehicle(self._host.store, int(kept["vehicle"]))
        except StoreError as error:
            self.bar.say(str(error))
            return
        self._offered = None
        self.bar.end()
        self._host.bench.take_vehicle(vehicle)
        self.start(Path(str(kept["path"])), kept["entered"], self._copy_of(kept))

    def _copy_of(self, kept: dict[str, Any]) -> Path:
        """Where an earlier run kept what it read."""
        return self._host.drafts.folder / Path(str(kept["copy"])).name
