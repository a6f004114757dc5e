"""The page of the comparison: three parts under a bar of words."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from knowngood.widgets.sectioned_page import SectionedPage, SectionEntry

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host

ENTRIES = (
    SectionEntry("conditions", "Same conditions", "conditions_part", "ConditionsPart"),
    SectionEntry("facts", "Facts and law", "facts_part", "FactsPart"),
    SectionEntry("library", "From the shop's library", "library_part", "LibraryPart"),
)
FOOT = (
    "Charge by weight from the under-hood label; a pressure does not tell the charge. The vehicle maker's "
    "procedure, the refrigerant's data sheet and local law prevail. Properties after Tillner-Roth and Baehr "
    "1994 (R-134a) and Lemmon and Akasaka 2022 (R-1234yf)."
)


class ComparisonPage(SectionedPage):
    """Follows the unit system and what the library holds."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(
            host,
            "knowngood_comparison.panels",
            ENTRIES,
            title="Refrigerant comparison",
            foot=FOOT,
            parent=parent,
        )
        self.bar.choose(0)

    def show_section(self, key: str) -> None:
        """Bring a part to the front; it takes the focus that the page is given."""
        super().show_section(key)
        self.setFocusProxy(self.frame(key))

    def refresh_section(self, section: Any) -> None:
        """Answer a part anew."""
        section.refresh()

    def section_html(self, section: Any) -> str:
        """What the part says of itself on paper."""
        html: str = section.sheet_html()
        return html
