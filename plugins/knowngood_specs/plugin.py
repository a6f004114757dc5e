"""The hooks of the spec library: its page, and the fields of a record."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.api import Group, Host, Page, SpecField, hookimpl

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QWidget


def _page(host: Host) -> QWidget:
    from knowngood_specs.panels.page import SpecsPage

    return SpecsPage(host)


@hookimpl
def spec_fields() -> Sequence[SpecField]:
    """The fields that a record of the spec library has from the start."""
    from knowngood_specs.core.fields import FIELDS

    return [SpecField(one.name, one.title, one.kind, one.choices, one.example, one.section) for one in FIELDS]


@hookimpl
def pages() -> Sequence[Page]:
    """The page of the spec library."""
    return [Page("specs", "Vehicle specs", Group.LIBRARY, 10, _page)]
