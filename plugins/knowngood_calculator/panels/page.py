"""The page of the refrigerant calculator: a head, and sections that answer as one types."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from knowngood.widgets.printing import sheet
from knowngood.widgets.sectioned_page import SectionedPage, SectionEntry
from knowngood_calculator.panels.head import CAUTION, Head

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host

SECTIONS = (
    SectionEntry("saturation", "Saturation", "saturation_section", "SaturationSection"),
    SectionEntry("sides", "Superheat, subcooling", "sides_section", "SidesSection"),
    SectionEntry("cycle", "Cycle", "cycle_section", "CycleSection"),
    SectionEntry("engine_off", "Engine-off check", "engine_off_section", "EngineOffSection"),
    SectionEntry("evacuation", "Evacuation", "evacuation_section", "EvacuationSection"),
    SectionEntry("moist_air", "Moist air", "moist_air_section", "MoistAirSection"),
    SectionEntry("weights", "Weights", "weights_section", "WeightsSection"),
)
SOURCES = (
    "Saturation and states after Tillner-Roth and Baehr 1994 (R-134a), Lemmon and Akasaka 2022 (R-1234yf), "
    "Span and Wagner 1996 (R-744), Outcalt and McLinden 1996 (R-152a), Marx and others 1992 (R-12)."
)


class CalculatorPage(SectionedPage):
    """Follows what is in hand and the unit system."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        self.head = Head(host)
        super().__init__(
            host,
            "knowngood_calculator.panels",
            SECTIONS,
            title="Refrigerant calculator",
            foot=f"{CAUTION} {SOURCES}",
            head=self.head,
            parent=parent,
        )
        self.head.changed.connect(self.refresh)
        self.bar.choose(0)
        self.setFocusProxy(self.head.refrigerant)

    def take_in(self, section: Any) -> None:
        """Tell in the status line what was copied."""
        section.finish()
        section.copied.connect(lambda text: self.host.say(f"Copied {text}."))

    def refresh_section(self, section: Any) -> None:
        """Answer for what the head says."""
        section.refresh(self.head.given)

    def section_html(self, section: Any) -> str:
        """The head and the section, as they are seen."""
        return sheet(self.head, section)
