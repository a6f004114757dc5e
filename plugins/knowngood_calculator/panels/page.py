"""The page of the refrigerant calculator: a head, and sections that answer as one types."""

from __future__ import annotations

import importlib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QFileDialog, QPushButton, QStackedWidget, QVBoxLayout, QWidget

from knowngood.api import Sheet
from knowngood.widgets import PageFrame
from knowngood_calculator.panels.head import CAUTION, Head
from knowngood_calculator.panels.printing import sheet
from knowngood_calculator.panels.section_bar import SectionBar

if TYPE_CHECKING:
    from knowngood.api import Host
    from knowngood_calculator.panels.section import Section


@dataclass(frozen=True, slots=True)
class Entry:
    """A section on the bar: its title, and the module and class that make it at its first showing."""

    key: str
    title: str
    module: str
    name: str


SECTIONS = (
    Entry("saturation", "Saturation", "saturation_section", "SaturationSection"),
    Entry("sides", "Superheat, subcooling", "sides_section", "SidesSection"),
    Entry("cycle", "Cycle", "cycle_section", "CycleSection"),
    Entry("engine_off", "Engine-off check", "engine_off_section", "EngineOffSection"),
    Entry("evacuation", "Evacuation", "evacuation_section", "EvacuationSection"),
    Entry("moist_air", "Moist air", "moist_air_section", "MoistAirSection"),
    Entry("weights", "Weights", "weights_section", "WeightsSection"),
)
SOURCES = (
    "Saturation and states after Tillner-Roth and Baehr 1994 (R-134a), Lemmon and Akasaka 2022 (R-1234yf), "
    "Span and Wagner 1996 (R-744), Outcalt and McLinden 1996 (R-152a), Marx and others 1992 (R-12)."
)


class CalculatorPage(QWidget):
    """Follows what is in hand and the unit system; a section is made when it is first asked for."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._host = host
        self.setObjectName("page")
        self.head = Head(host)
        self.bar = SectionBar([entry.title for entry in SECTIONS])
        self._stack = QStackedWidget()
        self._made: dict[str, Section] = {}
        self._frames: dict[str, QWidget] = {}
        self._front = ""
        self._lay_out()
        self.bar.chosen.connect(lambda number: self.show_section(SECTIONS[number].key))
        self.head.changed.connect(self.refresh)
        host.units.changed.connect(self.refresh)
        self.bar.choose(0)
        self.setFocusProxy(self.head.refrigerant)

    @property
    def front(self) -> str:
        """The key of the section in front."""
        return self._front

    def section(self, key: str) -> Section:
        """A section by its key, made at the first call."""
        if key not in self._made:
            entry = next(one for one in SECTIONS if one.key == key)
            module = importlib.import_module(f"knowngood_calculator.panels.{entry.module}")
            section: Section = getattr(module, entry.name)(self._host)
            section.finish()
            section.copied.connect(self._say_copied)
            self._made[key] = section
            self._frames[key] = PageFrame(section)
            self._stack.addWidget(self._frames[key])
        return self._made[key]

    def show_section(self, key: str) -> None:
        """Bring a section to the front."""
        section = self.section(key)
        section.refresh(self.head.given)
        self._front = key
        self._stack.setCurrentWidget(self._frames[key])
        self.bar.choose([entry.key for entry in SECTIONS].index(key))

    def refresh(self) -> None:
        """Answer the section in front anew; the others are answered when they come to the front."""
        self._made[self._front].refresh(self.head.given)

    def sheet(self) -> Sheet:
        """The section in front as a sheet of paper."""
        entry = next(one for one in SECTIONS if one.key == self._front)
        body = sheet(self.head, self._made[self._front])
        return Sheet(f"Refrigerant calculator: {entry.title.lower()}", body, f"{CAUTION} {SOURCES}")

    def _print(self) -> None:
        self._host.print_sheet(self.sheet())

    def _save_pdf(self) -> None:
        name, _ = QFileDialog.getSaveFileName(self, "Save as PDF", f"{self._front}.pdf", "PDF (*.pdf)")
        if not name:
            return
        try:
            self._host.sheet_pdf(self.sheet(), Path(name))
        except OSError as error:
            self._host.say(str(error))
        else:
            self._host.say(f"Saved {name}.")

    def _say_copied(self, text: str) -> None:
        self._host.say(f"Copied {text}.")

    def _lay_out(self) -> None:
        for title, slot, key in (
            ("Save as PDF...", self._save_pdf, ""),
            ("Print...", self._print, QKeySequence.StandardKey.Print),
        ):
            button = QPushButton(title)
            button.setObjectName("link")
            if key:
                button.setShortcut(QKeySequence(key))
            button.clicked.connect(slot)
            self.bar.add_action(button)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 12, 0, 0)
        layout.setSpacing(6)
        framed = QVBoxLayout()
        framed.setContentsMargins(20, 0, 20, 0)
        framed.addWidget(self.head)
        layout.addLayout(framed)
        layout.addWidget(self.bar)
        layout.addWidget(self._stack, stretch=1)
