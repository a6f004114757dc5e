"""The look: a quiet sheet of warm grey paper, white cards, dark ink, one deep green accent."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtGui import QColor, QPalette

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

PAPER = "#f5f4f0"
CARD = "#ffffff"
EDGE = "#e3e1da"
INK = "#1d2327"
QUIET = "#6c7378"
ACCENT = "#2a6a55"
RAIL = "#20332e"
RAIL_CHOSEN = "#34514a"
RAIL_TEXT = "#e9efec"
RAIL_HEAD = "#86b0a1"
RUST = "#b4461b"
TRACK = "#efeee8"
BAND_OUTER = "#e2efea"
BAND_INNER = "#c3ddd2"
LOW_SIDE = "#1f66b0"
"""Blue, the colour of the low side hose in SAE J2196."""
HIGH_SIDE = "#b02a37"
"""Red, the colour of the high side hose in SAE J2196."""
ENGINE = "#8b8d88"
EVENT = "#9a7416"
CURVES = (ACCENT, "#7a5195", "#b5651d", "#3a7d8c", "#8a8d45", "#a0526d", "#4f6d9a", "#5b5b5b")


_CHEVRON = Path(__file__).with_name("chevron.svg").as_posix()


def apply(app: QApplication) -> None:
    """Give the whole application the look."""
    app.setStyle("Fusion")
    app.setPalette(_palette())
    app.setStyleSheet(STYLE)


def _palette() -> QPalette:
    palette = QPalette()
    role = QPalette.ColorRole
    for where, colour in (
        (role.Window, PAPER),
        (role.Base, CARD),
        (role.AlternateBase, PAPER),
        (role.Button, CARD),
        (role.Text, INK),
        (role.WindowText, INK),
        (role.ButtonText, INK),
        (role.ToolTipBase, CARD),
        (role.ToolTipText, INK),
        (role.PlaceholderText, QUIET),
        (role.Highlight, ACCENT),
        (role.HighlightedText, CARD),
        (role.Link, ACCENT),
    ):
        palette.setColor(where, QColor(colour))
    palette.setColor(QPalette.ColorGroup.Disabled, role.ButtonText, QColor("#a8aba9"))
    palette.setColor(QPalette.ColorGroup.Disabled, role.Text, QColor("#a8aba9"))
    return palette


STYLE = f"""
QWidget {{ color: {INK}; font-size: 10pt; }}
QMainWindow, QDialog, QScrollArea, QWidget#page {{ background: {PAPER}; }}
QScrollArea {{ border: none; }}
QFrame#card {{ background: {CARD}; border: 1px solid {EDGE}; border-radius: 7px; }}
QFrame#card QLabel {{ background: transparent; }}
QLabel#cardTitle {{ font-size: 11.5pt; font-weight: 600; }}
QLabel#quiet, QLabel#cardSubtitle {{ color: {QUIET}; font-size: 9pt; }}
QLabel#problem {{ color: {RUST}; }}
QFrame#card QLabel#notice {{ background: {BAND_OUTER}; border-radius: 4px; padding: 7px 10px; }}
QLabel#answer {{ font-size: 15pt; font-weight: 600; }}
QLabel#answerSmall {{ font-size: 10.5pt; font-weight: 600; }}
QLabel#emptyText {{ color: {QUIET}; font-size: 11pt; }}
QFrame#rail, QScrollArea#rail, QWidget#rail {{ background: {RAIL}; border: none; }}
QLabel#brand {{ color: white; font-size: 14pt; font-weight: 700; padding: 10px 8px 6px 18px; }}
QLabel#railHead {{ color: {RAIL_HEAD}; font-size: 8pt; font-weight: 700; padding: 12px 8px 2px 8px; }}
QPushButton#railEntry {{
    color: {RAIL_TEXT}; background: transparent; border: none; border-radius: 4px;
    text-align: left; padding: 5px 12px;
}}
QPushButton#railEntry:hover {{ background: #2a423b; }}
QPushButton#railEntry:focus {{ border: 1px solid {RAIL_HEAD}; padding: 4px 11px; }}
QPushButton#railEntry:checked {{ background: {RAIL_CHOSEN}; }}
QFrame#topBar {{ background: {CARD}; border: none; border-bottom: 1px solid {EDGE}; }}
QFrame#topBar QLabel {{ background: transparent; }}
QLabel#inHand {{ font-size: 12pt; font-weight: 700; }}
QPushButton {{
    background: {CARD}; border: 1px solid #cfcdc5; border-radius: 5px; padding: 5px 12px;
}}
QPushButton:hover {{ border-color: {ACCENT}; }}
QPushButton:focus {{ border: 1px solid {ACCENT}; }}
QPushButton:disabled {{ color: #a8aba9; border-color: {EDGE}; }}
QPushButton#main {{ background: {ACCENT}; color: white; border-color: {ACCENT}; }}
QPushButton#main:disabled {{ background: #a9c3b8; border-color: #a9c3b8; }}
QPushButton#link {{ background: transparent; border: none; color: {ACCENT}; padding: 2px 4px; }}
QPushButton#link:checked {{ text-decoration: underline; }}
QPushButton#link:focus {{ border: 1px solid {ACCENT}; padding: 1px 3px; }}
QTabBar#sections {{ background: transparent; }}
QTabBar#sections::tab {{
    background: transparent; border: none; border-bottom: 2px solid transparent;
    padding: 6px 10px; color: {QUIET}; font-weight: 600;
}}
QTabBar#sections::tab:hover {{ color: {INK}; }}
QTabBar#sections::tab:selected {{ color: {ACCENT}; border-bottom: 2px solid {ACCENT}; }}
QTabBar#sections:focus {{ background: {TRACK}; }}
QTabBar#sections QToolButton {{ background: {PAPER}; border: 1px solid {EDGE}; border-radius: 3px; }}
QLineEdit, QComboBox, QPlainTextEdit, QAbstractSpinBox, QTextEdit {{
    background: {CARD}; border: 1px solid #cfcdc5; border-radius: 4px; padding: 4px 6px;
    selection-background-color: {ACCENT};
}}
QLineEdit:focus, QComboBox:focus, QPlainTextEdit:focus, QAbstractSpinBox:focus {{
    border: 1px solid {ACCENT};
}}
QLineEdit[unfit="true"] {{ border: 1px solid {RUST}; }}
QListView, QTreeView, QTableView {{
    background: {CARD}; border: 1px solid {EDGE}; border-radius: 5px; outline: none;
    gridline-color: {EDGE};
}}
QListView::item {{ padding: 5px 6px; }}
QListView::item:selected, QTreeView::item:selected, QTableView::item:selected {{
    background: {BAND_OUTER}; color: {INK};
}}
QHeaderView::section {{
    background: {PAPER}; border: none; border-bottom: 1px solid {EDGE}; padding: 4px 6px; color: {QUIET};
}}
QDialogButtonBox {{ dialogbuttonbox-buttons-have-icons: 0; }}
QStatusBar {{ background: {PAPER}; border-top: 1px solid {EDGE}; color: {QUIET}; padding-left: 14px; }}
QStatusBar::item {{ border: none; }}
QStatusBar QPushButton {{ padding: 2px 10px; }}
QComboBox::drop-down {{ border: none; width: 22px; }}
QComboBox::down-arrow {{ image: url("{_CHEVRON}"); width: 12px; height: 12px; }}
QComboBox QAbstractItemView {{ border: 1px solid {EDGE}; background: {CARD}; }}
QScrollBar:vertical {{ background: transparent; width: 12px; margin: 0; }}
QScrollBar:horizontal {{ background: transparent; height: 12px; margin: 0; }}
QScrollBar::handle {{ background: #c9c7bf; border-radius: 4px; margin: 2px; }}
QScrollBar::handle:vertical {{ min-height: 32px; }}
QScrollBar::handle:horizontal {{ min-width: 32px; }}
QScrollBar::handle:hover {{ background: {QUIET}; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QScrollArea#rail QScrollBar::handle {{ background: {RAIL_CHOSEN}; }}
QAbstractScrollArea::corner {{ background: transparent; border: none; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
QProgressBar {{
    background: {TRACK}; border: none; border-radius: 4px; max-height: 8px; min-width: 120px;
}}
QProgressBar::chunk {{ background: {ACCENT}; border-radius: 4px; }}
QToolTip {{ background: {CARD}; color: {INK}; border: 1px solid {EDGE}; padding: 4px; }}
"""
