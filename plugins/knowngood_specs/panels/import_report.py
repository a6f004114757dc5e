"""Ask where the report of an import is to be saved."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget


def ask_report_path(of: str, parent: QWidget) -> Path | None:
    """Where the report on the file of this name is to be saved, None when nowhere."""
    suggested = f"{Path(of).stem} import report.csv"
    name, _ = QFileDialog.getSaveFileName(parent, "Save report", suggested, "CSV (*.csv)")
    return Path(name) if name else None
