"""A page of the program on paper: laid out as HTML, printed or written as PDF."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from knowngood.reporting.page import render_sheet

if TYPE_CHECKING:
    from knowngood.api import Sheet


def sheet_page(sheet: Sheet, *, shop: str = "", vehicle: str = "") -> str:
    """A sheet with the shop, the vehicle in hand and the moment at its head, as HTML."""
    return render_sheet(sheet, shop=shop, vehicle=vehicle, printed_at=datetime.now(UTC).astimezone())


def print_page(page: str, title: str) -> bool:
    """Ask for a printer and print an HTML page; False when the asking was given up."""
    from PySide6.QtPrintSupport import QPrintDialog, QPrinter

    from knowngood.reporting.pdf import paint_page

    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setDocName(title)
    if not QPrintDialog(printer).exec():
        return False
    paint_page(page, printer)
    return True
