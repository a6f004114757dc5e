"""Bring in a file of vehicles: choose it, say what its columns are, see what would happen, store it."""

from __future__ import annotations

import gc
from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QDialog, QHBoxLayout, QLabel, QPushButton, QStackedWidget, QVBoxLayout, QWidget

from knowngood.widgets.form import words
from knowngood_refdata.errors import StoreError
from knowngood_refdata.exchange import import_library
from knowngood_refdata.queries import imports
from knowngood_specs import library_import
from knowngood_specs.import_words import counted, counts_line, undone_words
from knowngood_specs.library_export import write_report
from knowngood_specs.library_import import OpenedExchange, OpenedTable
from knowngood_specs.panels.import_done import DoneStep
from knowngood_specs.panels.import_draft import ImportDraft
from knowngood_specs.panels.import_exchange import ExchangeStep
from knowngood_specs.panels.import_mapping import MappingStep
from knowngood_specs.panels.import_parts import fit_to_window
from knowngood_specs.panels.import_report import ask_report_path
from knowngood_specs.panels.import_start import StartStep
from knowngood_specs.panels.import_trial import TrialStep
from knowngood_specs.panels.working import Working

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from knowngood.api import Host, Progress
    from knowngood_refdata.exchange import Taken
    from knowngood_refdata.import_plan import ImportInfo, Undone
    from knowngood_specs.library_import import DryRun

Step = TypeVar("Step", bound=QWidget)
Result = TypeVar("Result")

_STEPS = ("File", "Columns", "Trial", "Result")
_MANY_ROWS = 5_000
_HERE = "font-weight: 700;"


class ImportDialog(QDialog):
    """Goes through the steps; what was mapped and decided is kept when it is closed before the end.

    Attributes
    ----------
    changed
        Signal without arguments: the library is another, something was imported or undone.
    """

    changed = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Import vehicles")
        self._host = host
        self._draft = ImportDraft(host)
        self.start, self.done_step, self.working = StartStep(), DoneStep(), Working(host)
        self.mapping: MappingStep | None = None
        self.trial: TrialStep | None = None
        self.exchange: ExchangeStep | None = None
        self._steps = QStackedWidget()
        self.back_button, self.close_button = QPushButton("&Back"), QPushButton("Close")
        self.next_button = QPushButton()
        self._where = [QLabel(f"{number} {title}") for number, title in enumerate(_STEPS, 1)]
        self._lay_out()
        self._connect()
        self._begin()
        fit_to_window(self)

    def open_path(self, path: Path, sheet: str = "") -> None:
        """Read a file, or one sheet of it, and go on to its columns; an unreadable one is told in words."""
        store, brought = self._host.store, self._host.spec_fields()

        def work(progress: Progress) -> OpenedTable | OpenedExchange:
            return library_import.open_file(
                store, path, lambda part: progress(part, "reading"), sheet=sheet, brought=brought
            )

        self.start.say("", problem=False)
        self._work(f"Reading {path.name}", work, self._ask, self._step)

    def reject(self) -> None:
        """Stop the work that is running, or else close; what was entered is kept."""
        if self.working.busy:
            self.working.stop()
            return
        self._draft.save()
        gc.unfreeze()
        super().reject()

    def go_on(self) -> None:
        """Take the next step: try it out, store it, or begin anew."""
        step = self._step
        if step is self.mapping:
            self._try_out()
        elif step is self.trial:
            self._store()
        elif step is self.exchange:
            self._take_exchange()
        elif step is self.done_step:
            self._begin()

    def go_back(self) -> None:
        """Return to the step before; nothing that was entered is lost."""
        if self._step is self.trial and self.mapping is not None:
            self._show_step(self.mapping)
        else:
            self._begin()

    @property
    def _step(self) -> QWidget:
        step = self._steps.currentWidget()
        assert step is not None
        return step

    def _ask(self, opened: OpenedTable | OpenedExchange) -> None:
        if isinstance(opened, OpenedExchange):
            self.exchange = self._put(ExchangeStep(opened), self.exchange)
            self._show_step(self.exchange)
            return
        self.mapping = self._put(
            MappingStep(opened, self._host.units, self._draft.mapping(opened)), self.mapping
        )
        self.mapping.changed.connect(self._keep)
        self.mapping.sheet_wanted.connect(lambda sheet: self.open_path(opened.path, sheet))
        self._draft.put(opened, self.mapping.mapping, self._draft.decisions(opened))
        self._show_step(self.mapping)

    def _try_out(self) -> None:
        step = self.mapping
        assert step is not None
        store, opened, mapping = self._host.store, step.opened, step.mapping

        def work(progress: Progress) -> DryRun:
            return library_import.try_out(
                store, opened, mapping, lambda part: progress(part, "comparing with the library")
            )

        self._work(f"Trying out {opened.path.name}", work, self._show_trial, step)

    def _show_trial(self, tried: DryRun) -> None:
        if len(tried.plan.rows) > _MANY_ROWS:
            # The collector would look at every row again and again, and the window wait for it.
            gc.freeze()
        self.trial = self._put(TrialStep(tried, self._host.units), self.trial)
        self.trial.restore(self._draft.decisions(tried.opened))
        self.trial.changed.connect(self._keep)
        self.trial.report_wanted.connect(self._save_report)
        self._show_step(self.trial)

    def _store(self) -> None:
        step = self.trial
        assert step is not None
        store, tried, decisions = self._host.store, step.tried, step.decisions

        def work(progress: Progress) -> ImportInfo:
            return library_import.store_plan(store, tried, decisions, lambda part: progress(part, "storing"))

        self._work(f"Importing {tried.opened.path.name}", work, self._stored, step)

    def _stored(self, info: ImportInfo) -> None:
        self._draft.drop()
        self.changed.emit()
        self.done_step.show_result(
            info.id, f"{info.source_name} was imported", _rows_became(info), with_report=True
        )
        self._show_step(self.done_step)

    def _take_exchange(self) -> None:
        step = self.exchange
        assert step is not None
        store, path, ours = self._host.store, step.opened.path, step.ours.isChecked()

        def work(progress: Progress) -> Taken:
            return import_library(
                store, path, ours=ours, progress=lambda part: progress(part, "checking and storing")
            )

        def done(taken: Taken) -> None:
            self.changed.emit()
            met = f" Already here: {counts_line(taken.met)}." if taken.met else ""
            told = f"Added: {counts_line(taken.added)}.{met}"
            self.done_step.show_result(taken.batch_id, f"{path.name} was imported", told, with_report=False)
            self._show_step(self.done_step)

        self._work(f"Importing {path.name}", work, done, step)

    def _undo(self, batch_id: int, why: str) -> None:
        store, step = self._host.store, self._step

        def work(progress: Progress) -> Undone:
            return imports.undo_import(store, batch_id, why, lambda part: progress(part, "undoing"))

        def done(undone: Undone) -> None:
            self.changed.emit()
            if step is self.done_step:
                self.done_step.show_undone(undone_words(undone))
                self._show_step(self.done_step)
            else:
                self._begin()
                self.start.say(undone_words(undone), problem=False)

        self._work("Undoing the import", work, done, step)

    def _work(
        self, title: str, work: Callable[[Progress], Result], done: Callable[[Result], None], back: QWidget
    ) -> None:
        """Show a piece of work, and go back to a step with words when it comes to nothing."""

        def ended(trouble: str) -> None:
            self._show_step(back)
            self._say(trouble)

        self._say("")
        self._show_step(self.working)
        self.working.run(title, work, done, ended)

    def _begin(self) -> None:
        """Show the first step with the imports that were made."""
        try:
            self.start.show_imports(imports.imports(self._host.store))
        except StoreError as error:
            self._say(str(error))
        unfinished = self._draft.path
        self.start.show_unfinished(unfinished.name if unfinished else "")
        self._show_step(self.start)

    def _resume(self) -> None:
        path = self._draft.path
        if path is not None:
            self.open_path(path, self._draft.sheet)

    def _forget(self) -> None:
        self._draft.drop()
        self._begin()

    def _keep(self) -> None:
        """Keep what was entered."""
        if self.mapping is not None:
            opened = self.mapping.opened
            of_trial = self.trial is not None and self.trial.tried.opened is opened
            decisions = self.trial.decisions if self.trial and of_trial else self._draft.decisions(opened)
            self._draft.put(opened, self.mapping.mapping, decisions)
        self._follow()

    def _save_report(self) -> None:
        if self.trial is None:
            return
        tried, decisions, system = self.trial.tried, self.trial.decisions, self._host.units.system
        path, step = ask_report_path(tried.opened.path.name, self), self._step
        if path is None:
            return

        def work(progress: Progress) -> Path:
            write_report(path, tried, decisions, system, lambda part: progress(part, "writing"))
            return path

        def done(written: Path) -> None:
            self._show_step(step)
            self._host.say(f"The report was saved as {written}.")

        self._work("Saving the report", work, done, step)

    def _say(self, text: str) -> None:
        self._trouble.setText(text)
        self._trouble.setVisible(bool(text))

    def _put(self, step: Step, former: QWidget | None) -> Step:
        if former is not None:
            self._steps.removeWidget(former)
            former.deleteLater()
        self._steps.addWidget(step)
        return step

    def _show_step(self, step: QWidget) -> None:
        self._steps.setCurrentWidget(step)
        self._follow()
        if step is not self.working:
            step.setFocus()

    def _follow(self) -> None:
        """Have the buttons and the row of steps say what is possible."""
        step = self._step
        busy = step is self.working
        for place, steps in enumerate(self._order()):
            if not busy:
                self._where[place].setStyleSheet(_HERE if step in steps else "")
        self.back_button.setVisible(step in (self.mapping, self.trial, self.exchange))
        self.next_button.setVisible(step is not self.start and not busy)
        self.close_button.setEnabled(not busy)
        rows = self.trial.to_store if self.trial is not None else 0
        self.next_button.setText(self._next_words(step, rows))
        self.next_button.setEnabled(step is not self.trial or rows > 0)

    def _order(self) -> tuple[tuple[QWidget | None, ...], ...]:
        return (self.start,), (self.mapping, self.exchange), (self.trial,), (self.done_step,)

    def _next_words(self, step: QWidget, rows: int) -> str:
        if step is self.mapping:
            return "&Try it out"
        if step is self.trial:
            return f"&Import {counted(rows, 'row')}"
        return "&Import" if step is self.exchange else "&Another file"

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.setSpacing(22)
        for label in self._where:
            head.addWidget(label)
        head.addStretch(1)
        self._trouble = words("problem")
        self._trouble.hide()
        self.next_button.setObjectName("main")
        buttons = QHBoxLayout()
        buttons.addWidget(self.back_button)
        buttons.addStretch(1)
        buttons.addWidget(self.close_button)
        buttons.addWidget(self.next_button)
        for button in (self.back_button, self.close_button, self.next_button):
            button.setAutoDefault(False)
        for step in (self.start, self.working, self.done_step):
            self._steps.addWidget(step)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 14, 18, 14)
        layout.setSpacing(10)
        layout.addLayout(head)
        layout.addWidget(self._steps, stretch=1)
        layout.addWidget(self._trouble)
        layout.addLayout(buttons)

    def _connect(self) -> None:
        self.start.chosen.connect(self.open_path)
        self.start.resumed.connect(self._resume)
        self.start.forgotten.connect(self._forget)
        for step in (self.start, self.done_step):
            step.undo.connect(self._undo)
        self.done_step.report_wanted.connect(self._save_report)
        self.back_button.clicked.connect(self.go_back)
        self.next_button.clicked.connect(self.go_on)
        self.close_button.clicked.connect(self.reject)


def _rows_became(info: ImportInfo) -> str:
    return f"Rows of the file: {counts_line(info.counts)}. Nothing on record was replaced."
