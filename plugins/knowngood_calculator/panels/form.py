"""How fields are laid out."""

from __future__ import annotations

from knowngood.widgets.form import NAME_WIDTH, form, named, words

__all__ = ["NAME_WIDTH", "form", "named", "words"]
