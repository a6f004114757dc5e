"""The session plotter: a recorded session over time, with what was found in it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QFileDialog,
    QLabel,
    QPushButton,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from knowngood.formatting import clock
from knowngood.widgets import Card, EmptyState
from knowngood_refdata.errors import StoreError
from knowngood_sessions.findings_words import lines, short_words
from knowngood_sessions.gather import Session, load
from knowngood_sessions.panels.findings_list import FindingsList
from knowngood_sessions.panels.importer import LogImport
from knowngood_sessions.panels.revision import Revision
from knowngood_sessions.panels.session_bar import SessionBar
from knowngood_sessions.traces import plots

if TYPE_CHECKING:
    from knowngood.api import Host
    from knowngood.widgets.time_plot import TimePlot
    from knowngood_refdata.records import SessionInfo
    from knowngood_sessions.core.reader import Notice

DRAFT_KEY = "sessions"
VEHICLES_PAGE = "specs"
_FILES = "Logs (*.csv *.txt *.tsv *.log);;All files (*)"
_SHARES = {"Pressures": 4, "Temperatures": 4, "Superheat, subcooling": 3, "Engine speed": 2}


class PlotterPage(QWidget):
    """Shows the session in hand; imports logs for the vehicle in hand."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("page")
        self._host = host
        self._session: Session | None = None
        self._unfinished: dict[str, Any] | None = None
        self.importer = LogImport(host, self)
        self.revision = Revision(host, self)
        self.bar = SessionBar(host)
        self._empty = EmptyState("")
        self.plot = self._make_plot()
        self.findings = FindingsList()
        self._message = QLabel()
        self._message.setWordWrap(True)
        self._message.setTextFormat(Qt.TextFormat.PlainText)
        self._go_on = QPushButton("Go on with it")
        self._lay_out()
        self._connect()
        host.drafts.keep(DRAFT_KEY, self._snapshot, self._restore)
        self._take()

    def import_log(self) -> None:
        """Ask for a file and import it."""
        name, _ = QFileDialog.getOpenFileName(self, "Import a log", "", _FILES)
        if name:
            self.importer.start(Path(name))

    def print_report(self) -> None:
        """Ask for a place and write the report on the session there."""
        if self._session is None:
            return
        info = self._session.info
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

    def _make_plot(self) -> TimePlot:
        from knowngood.widgets import TimePlot

        return TimePlot()

    def _lay_out(self) -> None:
        plot_card = Card()
        self._plot_card = plot_card
        plot_card.body.addWidget(self.plot)
        findings_card = Card("Findings")
        findings_card.body.addWidget(self.findings)
        split = QSplitter()
        split.setChildrenCollapsible(False)
        split.addWidget(plot_card)
        split.addWidget(findings_card)
        split.setStretchFactor(0, 1)
        split.setSizes([690, 340])
        self._stack = QStackedWidget()
        self._stack.addWidget(self._empty)
        self._stack.addWidget(split)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 12, 14, 12)
        layout.addWidget(self.bar)
        layout.addWidget(self._message)
        layout.addWidget(self._go_on, alignment=Qt.AlignmentFlag.AlignLeft)
        layout.addWidget(self._stack, stretch=1)
        self._tell("")
        self._go_on.hide()

    def _connect(self) -> None:
        bench = self._host.bench
        bench.session_changed.connect(self._take)
        bench.vehicle_changed.connect(self._take)
        bench.findings_changed.connect(self._findings_changed)
        self._host.units.changed.connect(self._show)
        self.bar.import_wanted.connect(self.import_log)
        self.bar.report_wanted.connect(self.print_report)
        self.bar.conditions_wanted.connect(self._revise)
        self.bar.whole_wanted.connect(self.plot.zoom_out)
        self._empty.clicked.connect(self._first_step)
        self.findings.chosen.connect(self.plot.zoom_to)
        self._go_on.clicked.connect(self._resume)
        self.importer.refused.connect(self._complain)
        self.importer.imported.connect(self._welcome)
        self.importer.known.connect(self._recognise)
        self.revision.refused.connect(self._complain)
        self.importer.not_saved.connect(lambda entered: self._restore({"import": entered}))
        self.revision.not_saved.connect(lambda entered: self._restore({"conditions": entered}))

    def _take(self) -> None:
        """Show the session in hand, or what to do first."""
        info, vehicle = self._host.bench.session, self._host.bench.vehicle
        if self._session is not None and (info is None or info.id != self._session.info.id):
            self._tell("")
        self.bar.refresh()
        if info is None:
            self._session = None
            where = "Take a vehicle in hand first: every session belongs to one."
            if vehicle is not None:
                other = ", or choose one above" if self.bar.holds_sessions else ""
                where = f"No session in hand. Import a log recorded on {vehicle.name}{other}."
            self._empty.set_text(where, "Choose a vehicle" if vehicle is None else "Import log...")
            self._stack.setCurrentIndex(0)
            return
        store = self._host.store
        self._host.tasks.run(
            f"Opening {info.title}", lambda _: load(store, info.id), done=self._loaded, failed=self._fail
        )

    def _loaded(self, session: Session) -> None:
        in_hand = self._host.bench.session
        if in_hand is not None and in_hand.id == session.info.id:
            self._session = session
            self._stack.setCurrentIndex(1)
            self._show()

    def _findings_changed(self, session_id: int) -> None:
        in_hand = self._host.bench.session
        if in_hand is not None and in_hand.id == session_id:
            self._take()

    def _show(self) -> None:
        """Write everything in the unit system in hand."""
        session = self._session
        if session is None:
            return
        from knowngood.widgets import Curve, PlotPanel

        system, found = self._host.units.system, session.findings
        panels = [
            PlotPanel(
                f"{one.title}, {one.unit}",
                tuple(Curve(trace.name, trace.values, trace.colour) for trace in one.traces),
                _SHARES[one.title],
            )
            for one in plots(session.derived, system, session.barometer_pa)
        ]
        self.plot.set_panels(session.derived.time_s, panels)
        self.plot.set_windows([(one.start_s, one.end_s, one.label) for one in found.windows])
        self.plot.set_events([(one.at_s, short_words(one)) for one in found.events])
        self.findings.show_lines(lines(found, system, session.barometer_pa))
        count = len(found.windows)
        told = "one steady window" if count == 1 else f"{count or 'no'} steady windows"
        self._plot_card.set_title(
            session.info.title,
            f"{clock(0.0)} to {clock(session.info.duration_s)}, {session.info.sample_count:,} samples, "
            f"{session.info.refrigerant}, {told} found",
        )

    def _first_step(self) -> None:
        if self._host.bench.vehicle is None:
            self._host.show_page(VEHICLES_PAGE)
        else:
            self.import_log()

    def _revise(self) -> None:
        if self._session is not None:
            self.revision.start(self._session)

    def _welcome(self, info: SessionInfo, notices: tuple[Notice, ...]) -> None:
        self._unfinished = None
        self._host.drafts.save()
        self._host.say(f"{info.source_name} was imported as '{info.title}'.")
        self._tell(" ".join(one.text for one in notices))

    def _recognise(self, info: SessionInfo) -> None:
        self._host.bench.take_session(info)
        self._tell(
            f"{info.source_name} is in the library already, as '{info.title}'; it was not stored again."
        )

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

    def _snapshot(self) -> dict[str, Any] | None:
        importing, revising = self.importer.snapshot(), self.revision.snapshot()
        kept = {name: one for name, one in (("import", importing), ("conditions", revising)) if one}
        return kept or self._unfinished

    def _restore(self, kept: dict[str, Any]) -> None:
        self._unfinished = kept
        name = Path(kept["import"]["path"]).name if "import" in kept else ""
        what = f"The import of {name}" if name else "A change of a session's conditions"
        self._tell(f"{what} was not finished; what was entered is kept.")
        self._go_on.show()

    def _resume(self) -> None:
        kept, self._unfinished = self._unfinished or {}, None
        self._go_on.hide()
        self._tell("")
        if "import" in kept:
            self.importer.start(Path(kept["import"]["path"]), kept["import"])
        elif "conditions" in kept:
            self.revision.resume(kept["conditions"])
