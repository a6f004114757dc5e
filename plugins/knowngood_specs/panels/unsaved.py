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


class Unsaved:
    """Forms by name, kept by the program's drafts until they are saved or discarded."""

    def __init__(self, host: Host) -> None:
        self._drafts = host.drafts
        self._forms: dict[str, dict[str, Any]] = {}
        host.drafts.keep(KEY, self._snapshot, self._restore)

    def get(self, name: str) -> Mapping[str, Any] | None:
        """What was kept of a form, None when nothing was."""
        return self._forms.get(name)

    def put(self, name: str, entries: Mapping[str, str]) -> None:
        """Keep a form as it stands now."""
        self._forms[name] = dict(entries)

    def drop(self, name: str) -> None:
        """Forget a form that was saved or discarded."""
        self._forms.pop(name, None)
        if self._forms:
            self._drafts.save()
        else:
            self._drafts.forget(KEY)

    def _snapshot(self) -> dict[str, Any] | None:
        return self._forms or None

    def _restore(self, kept: Mapping[str, Any]) -> None:
        self._forms = {name: dict(entries) for name, entries in kept.items()}
