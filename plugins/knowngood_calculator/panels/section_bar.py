"""The row of words that leads from section to section."""

from __future__ import annotations

from knowngood.widgets.section_bar import SectionBar

__all__ = ["SectionBar"]
