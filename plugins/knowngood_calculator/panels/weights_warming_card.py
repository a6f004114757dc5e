"""The card of the CO2 equivalent of a mass, with the report named that the warming potential comes from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox

from knowngood.formatting import Shown
from knowngood.widgets import Card, QuantityEdit
from knowngood.widgets.form import form, words
from knowngood_calculator.core.warming import RECORDS_FROM_KG, Equivalent, co2_equivalent, mass_of
from knowngood_calculator.panels.pairs import side_by_side
from knowngood_calculator.panels.verdict_line import VerdictLine
from knowngood_refdata.facts import AssessmentReport, FactStanding, Gwp, gwp, laws
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.units import Units

NAMES_WIDTH, SECOND_WIDTH = 104, 74
REPORTS = tuple(AssessmentReport)
USUAL = AssessmentReport.AR4
RECORDS = "From 5 t of CO2 on the EU asks for leak checks and records (from memory)."


class WarmingCard(Card):
    """Counts the mass typed, else the charge given last to `set_charge`."""

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__("CO2 equivalent", parent=parent)
        self._units = units
        self._refrigerant = ""
        self._charge_kg: float | None = None
        self.mass = QuantityEdit(Kind.MASS, units)
        self.report = QComboBox()
        self.report.addItems([f"{one.full_name.split()[1]}, {one.year}" for one in REPORTS])
        self.report.setCurrentIndex(REPORTS.index(USUAL))
        self.equivalent, self.potential = (
            VerdictLine(name, units, NAMES_WIDTH) for name in ("CO2 equivalent", "GWP, 100 yr")
        )
        self.records = VerdictLine("5 t CO2 is", units, SECOND_WIDTH)
        self.source = words("quiet")
        self._lay_out()
        self.mass.changed.connect(self._answer)
        self.report.currentIndexChanged.connect(self._answer)

    def refresh(self, refrigerant: str) -> None:
        """Answer anew for a refrigerant."""
        self._refrigerant = refrigerant
        self._answer()

    def set_charge(self, charge_kg: float | None) -> None:
        """Say what charge to count while no mass is typed [kg]."""
        self._charge_kg = charge_kg
        self._answer()

    def _answer(self) -> None:
        if not self._refrigerant:
            return
        report = REPORTS[self.report.currentIndex()]
        found = gwp(self._refrigerant, report)
        self._show_potential(found)
        self._show_equivalent(found)
        source = "" if found is None else source_words(found)
        self.source.setText(f"{source} {law_words(self._refrigerant, report)} {RECORDS}".strip())

    def _show_potential(self, found: Gwp | None) -> None:
        if found is None:
            # The equivalent below says why.
            self.potential.clear()
            self.records.clear()
            return
        self.potential.say(found.text)
        self.records.say(self._text(mass_of(RECORDS_FROM_KG, found)))

    def _show_equivalent(self, found: Gwp | None) -> None:
        typed = self.mass.si()
        mass_kg = self._charge_kg if typed is None else typed
        answer = co2_equivalent(mass_kg or 0.0, found)
        if self.mass.problem or answer.mass_kg is None:
            self.equivalent.clear(self.mass.problem or answer.words)
        elif mass_kg is None:
            self.equivalent.say("", "Enter a mass, or a charge.")
        else:
            whose = "the mass typed" if typed is not None else "the charge"
            of = f"{whose}, {self._units.text(mass_kg, Kind.MASS)} of {self._refrigerant}"
            assert answer.report is not None
            self.equivalent.say(f"{self._text(answer)} CO2", of, f"by the {answer.report.full_name}")

    def _text(self, found: Equivalent) -> str:
        """A mass with its bound, and about three digits."""
        mass_kg = found.mass_kg or 0.0
        number = self._units.value(mass_kg, Shown.CYLINDER_WEIGHT)
        decimals = 0 if number >= 100.0 else 1 if number >= 10.0 else 2
        text = self._units.text(mass_kg, Shown.CYLINDER_WEIGHT, decimals=decimals)
        return f"{found.bound} {text}".strip()

    def _lay_out(self) -> None:
        self.body.setSpacing(4)
        rows = ((("Mass &counted", self.mass), ("&IPCC report", self.report)),)
        self.body.addLayout(form(rows, NAMES_WIDTH))
        self.body.addWidget(self.equivalent)
        self.body.addLayout(side_by_side(self.potential, self.records))
        self.body.addWidget(self.source)


def source_words(found: Gwp) -> str:
    """Where a warming potential comes from, and what its report says about it."""
    memory = " (from memory)" if found.standing is FactStanding.FROM_MEMORY else ""
    return f"{found.note} Source of the GWP: {found.source}{memory}.".strip()


def law_words(refrigerant: str, report: AssessmentReport) -> str:
    """Which laws on record count a refrigerant with a report, in a sentence."""
    names = [
        law.name + (" (from memory)" if use.standing is FactStanding.FROM_MEMORY else "")
        for law in laws()
        for use in law.uses
        if use.refrigerant == refrigerant and use.report is report
    ]
    if not names:
        return f"No law on record counts {refrigerant} with this report."
    return f"{refrigerant} is counted with it by: {'; '.join(names)}."
