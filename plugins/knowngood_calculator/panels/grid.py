"""A plain table of answers."""

from __future__ import annotations

from knowngood.widgets.grid import Grid

__all__ = ["Grid"]
