"""Write vehicles to a file: as a table for a spreadsheet, or as an exchange file that holds everything."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import (
    QButtonGroup,
    QComboBox,
    QDialog,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QPushButton,
    QRadioButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood_refdata.exchange import What
from knowngood_refdata.queries.filters import ALL
from knowngood_specs import library_export
from knowngood_specs.library_export import Form, Lines, Search, Wanted
from knowngood_specs.panels.export_parts import ExchangeParts
from knowngood_specs.panels.import_parts import fit_to_window
from knowngood_specs.panels.working import Working

if TYPE_CHECKING:
    from knowngood.api import Host, Progress
    from knowngood_refdata.queries.filters import Filters

_DELIMITERS = (("comma", ","), ("semicolon", ";"), ("tab", "\t"))
_ENDINGS = {
    Form.CSV: ("csv", "CSV (*.csv)"),
    Form.XLSX: ("xlsx", "Workbook (*.xlsx)"),
    Form.EXCHANGE: ("json", "Exchange file (*.json)"),
}
_SAFE = (
    "Texts that begin like a formula are written so that no spreadsheet executes them; this program reads "
    "them back as they are."
)


class ExportDialog(QDialog):
    """Asks what to write and in which form, writes it, and says where it is.

    Parameters
    ----------
    words, filters
        The search that the list shows now; its vehicles can be written alone.
    """

    def __init__(
        self, host: Host, parent: QWidget | None = None, *, words: str = "", filters: Filters = ALL
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Export vehicles")
        self._host = host
        self._search = Search(words, filters)
        self.whole, self.found = QRadioButton("The &whole library"), QRadioButton(_found(self._search))
        self._which = QButtonGroup(self)
        self.form, self.lines, self.delimiter = QComboBox(), QComboBox(), QComboBox()
        self.parts = ExchangeParts()
        self.working = Working(host)
        self.export_button, self.close_button = QPushButton("&Export..."), QPushButton("Close")
        self._fill()
        self._lay_out()
        self._connect()
        self._follow()
        fit_to_window(self, 620, 520)

    @property
    def wanted(self) -> Wanted:
        """What is to be written, as chosen."""
        return Wanted(
            form=Form(self.form.currentData()),
            search=self._search if self.found.isChecked() else None,
            lines=Lines(self.lines.currentData()),
            delimiter=str(self.delimiter.currentData()),
            what=self.parts.what() if self.form.currentData() == Form.EXCHANGE else What(),
        )

    def write_to(self, path: Path) -> None:
        """Write the file and say what it holds."""
        store, wanted, brought = self._host.store, self.wanted, self._host.spec_fields()

        def work(progress: Progress) -> str:
            return library_export.write(
                store, path, wanted, lambda part: progress(part, "writing"), brought=brought
            )

        def done(held: str) -> None:
            self._show(f"Written to {path}: {held}.", problem=False)
            self._host.say(f"Exported to {path}.")

        self._show("", problem=False)
        self._pages.setCurrentWidget(self.working)
        self._enable(able=False)
        self.working.run(f"Writing {path.name}", work, done, lambda text: self._show(text, problem=True))

    def reject(self) -> None:
        """Stop the work that is running, or else close."""
        if self.working.busy:
            self.working.stop()
        else:
            super().reject()

    def _ask(self) -> None:
        ending, kinds = _ENDINGS[self.wanted.form]
        name, _ = QFileDialog.getSaveFileName(self, "Export", f"vehicles.{ending}", kinds)
        if name:
            path = Path(name)
            self.write_to(path if path.suffix else path.with_suffix(f".{ending}"))

    def _fill(self) -> None:
        for button in (self.whole, self.found):
            self._which.addButton(button)
        self.whole.setChecked(not self._search.narrows)
        self.found.setChecked(self._search.narrows)
        self.found.setEnabled(self._search.narrows)
        for form in Form:
            self.form.addItem(str(form), form)
        for lines in Lines:
            self.lines.addItem(str(lines), lines)
        for name, sign in _DELIMITERS:
            self.delimiter.addItem(name, sign)

    def _lay_out(self) -> None:
        self._rows = QFormLayout()
        for name, box in (
            ("&Form", self.form),
            ("&Lines", self.lines),
            ("&Between the cells", self.delimiter),
        ):
            self._rows.addRow(name, box)
            box.setAccessibleName(name.replace("&", ""))
        which, form = Card("Which vehicles"), Card("How")
        which.body.addWidget(self.whole)
        which.body.addWidget(self.found)
        self._safe = words("quiet", _SAFE)
        form.body.addLayout(self._rows)
        form.body.addWidget(self.parts)
        form.body.addWidget(self._safe)
        choices, self._pages, self.told = QWidget(), QStackedWidget(), words("")
        layout = QVBoxLayout(choices)
        layout.setContentsMargins(0, 0, 0, 0)
        for card in (which, form):
            layout.addWidget(card)
        layout.addStretch(1)
        self._pages.addWidget(choices)
        self._pages.addWidget(self.working)
        buttons = QHBoxLayout()
        buttons.addStretch(1)
        self.export_button.setObjectName("main")
        for button in (self.close_button, self.export_button):
            button.setAutoDefault(False)
            buttons.addWidget(button)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(18, 14, 18, 14)
        whole.addWidget(self._pages, stretch=1)
        whole.addWidget(self.told)
        whole.addLayout(buttons)

    def _connect(self) -> None:
        self.form.currentIndexChanged.connect(self._follow)
        self.whole.toggled.connect(self._follow)
        self.export_button.clicked.connect(self._ask)
        self.close_button.clicked.connect(self.reject)

    def _follow(self) -> None:
        form = self.form.currentData()
        self._rows.setRowVisible(self.lines, form != Form.EXCHANGE)
        self._rows.setRowVisible(self.delimiter, form == Form.CSV)
        self._safe.setVisible(form == Form.CSV)
        self.parts.setVisible(form == Form.EXCHANGE)
        self.parts.set_whole(whole=self.whole.isChecked())

    def _show(self, text: str, *, problem: bool) -> None:
        self.told.setObjectName("problem" if problem else "")
        self.told.style().unpolish(self.told)
        self.told.style().polish(self.told)
        self.told.setText(text)
        self._pages.setCurrentIndex(0)
        self._enable(able=True)

    def _enable(self, *, able: bool) -> None:
        self.export_button.setEnabled(able)
        self.close_button.setEnabled(able)


def _found(search: Search) -> str:
    if not search.narrows:
        return "Those found by the present &search (nothing is searched for now)"
    said = f"'{search.words.strip()}'" if search.words.strip() else "the filters"
    within = " within the filters" if search.words.strip() and search.filters != ALL else ""
    return f"Those found by the present &search: {said.replace('&', '&&')}{within}"
