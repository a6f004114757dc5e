"""An import that was begun and not finished: kept when its dialog or the program is closed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from knowngood_specs.core.importing.mapping import as_json, from_json, reapplied, signature

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood.api import Host
    from knowngood_specs.core.importing.mapping import ColumnMapping
    from knowngood_specs.library_import import OpenedTable

KEY = "specs import"


class ImportDraft:
    """File, mapping and decisions of the import that was not finished; it outlives the dialog."""

    def __init__(self, host: Host) -> None:
        self._drafts = host.drafts
        self._kept: dict[str, Any] | None = None
        host.drafts.keep(KEY, lambda: self._kept, self._restore)

    @property
    def sheet(self) -> str:
        """The sheet of the workbook, empty for another file."""
        return str(self._kept["sheet"]) if self._kept else ""

    @property
    def path(self) -> Path | None:
        """The file whose import was not finished, None when there is none."""
        return Path(str(self._kept["path"])) if self._kept else None

    def put(self, opened: OpenedTable, mapping: ColumnMapping, decisions: Mapping[int, int]) -> None:
        """Keep how far an import is."""
        self._kept = {
            "path": str(opened.path),
            "sheet": opened.table.sheet,
            "sha256": opened.sha256,
            "layout": signature(opened.table),
            "mapping": as_json(mapping),
            # One text: drafts are taken every few seconds, and decisions may be many thousands.
            "decisions": " ".join(f"{row}:{decision}" for row, decision in decisions.items()),
        }

    def mapping(self, opened: OpenedTable) -> ColumnMapping | None:
        """The mapping that was kept for files of this layout, None when there is none."""
        if self._kept is None or self._kept["layout"] != signature(opened.table):
            return None
        kept = from_json(self._kept["mapping"])
        return None if kept is None else reapplied(kept, opened.table)

    def decisions(self, opened: OpenedTable) -> dict[int, int]:
        """The decisions that were kept for this very file; those for another version of it say nothing."""
        kept = self._kept
        if kept is None or (kept["sha256"], kept["sheet"]) != (opened.sha256, opened.table.sheet):
            return {}
        pairs = (one.split(":") for one in str(kept["decisions"]).split())
        return {int(row): int(decision) for row, decision in pairs}

    def save(self) -> None:
        """Have what was kept written now."""
        self._drafts.save()

    def drop(self) -> None:
        """Forget an import that was finished or given up."""
        self._kept = None
        self._drafts.forget(KEY)

    def _restore(self, kept: Mapping[str, Any]) -> None:
        names = ("path", "sheet", "sha256", "layout", "mapping", "decisions")
        self._kept = {name: kept[name] for name in names}
