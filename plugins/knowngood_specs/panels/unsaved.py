"""What was typed into the dialogs of the page and not saved yet."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood.api import Host

KEY = "specs"
NEW_VEHICLE = "vehicle"


def value_of(vehicle_id: int) -> str:
    """The name of the form that adds a value to a vehicle."""
    return f"value {vehicle_id}"


def edit_of(vehicle_id: int) -> str:
    """The name of the form that edits a vehicle's own data."""
    return f"edit {vehicle_id}"


def correction_of(spec_id: int) -> str:
    """The name of the form that corrects a value."""
    return f"correct {spec_id}"


def reason_of(act: str, number: int) -> str:
    """The name of the form that asks why something is done, ``retire`` with a value's number."""
    return f"why {act} {number}"


class Unsaved:
    """Forms by name, kept by the program's drafts until they are saved or discarded.

    ``key`` names them among the drafts; each part of the page that keeps forms has its own.
    """

    def __init__(self, host: Host, key: str = KEY) -> None:
        self._drafts, self._key = host.drafts, key
        self._forms: dict[str, dict[str, Any]] = {}
        host.drafts.keep(key, self._snapshot, self._restore)

    def get(self, name: str) -> Mapping[str, Any] | None:
        """What was kept of a form, None when nothing was."""
        return self._forms.get(name)

    def put(self, name: str, entries: Mapping[str, Any]) -> None:
        """Keep a form as it stands now."""
        self._forms[name] = dict(entries)

    def drop(self, name: str) -> None:
        """Forget a form that was saved or discarded."""
        self._forms.pop(name, None)
        if self._forms:
            self._drafts.save()
        else:
            self._drafts.forget(self._key)

    def _snapshot(self) -> dict[str, Any] | None:
        return self._forms or None

    def _restore(self, kept: Mapping[str, Any]) -> None:
        self._forms = {name: dict(entries) for name, entries in kept.items()}
