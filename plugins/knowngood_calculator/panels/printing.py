"""A section as a sheet of paper."""

from __future__ import annotations

from knowngood.widgets.printing import sheet

__all__ = ["sheet"]
