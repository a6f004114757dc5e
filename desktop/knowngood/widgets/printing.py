"""A part of a page as a sheet of paper: every field with what was entered, every answer with its words.

The sheet is read off the widgets, from top to bottom, so that what is printed is what was seen.
"""

from __future__ import annotations

import base64
from html import escape
from typing import TYPE_CHECKING, Protocol, TypeGuard, runtime_checkable

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, Qt
from PySide6.QtGui import QImageWriter
from PySide6.QtWidgets import QCheckBox, QComboBox, QLabel, QLineEdit, QPlainTextEdit, QTableView, QWidget

from knowngood.widgets.answer_line import AnswerLine
from knowngood.widgets.card import Card

if TYPE_CHECKING:
    from collections.abc import Iterator

    from PySide6.QtGui import QImage
    from PySide6.QtWidgets import QLayout

_WORDS = ("problem", "notice", "quiet")
_PICTURE_PX = 640


@runtime_checkable
class _Drawn(Protocol):
    """Something that can be had as a picture."""

    def picture(self) -> QImage: ...


def sheet(*parts: QWidget) -> str:
    """The body of a sheet, as HTML with every text escaped, of the cards below some widgets."""
    return "\n".join(_block(part) for part in parts)


def _block(widget: QWidget) -> str:
    blocks: list[str] = []
    rows: list[tuple[str, str, str]] = []
    for one in _walk(widget):
        if isinstance(one, Card):
            blocks += [*_table(rows), *_heading(one)]
            rows = []
        elif (row := _row(one)) is not None:
            rows.append(row)
        elif (text := _free(one)) is not None:
            blocks += [*_table(rows), text]
            rows = []
    return "\n".join([*blocks, *_table(rows)])


def _walk(widget: QWidget) -> Iterator[QWidget]:
    """Every visible widget that says something, in the order of the layouts."""
    yield widget
    if _draws(widget) or isinstance(widget, (AnswerLine, QComboBox, QTableView, QPlainTextEdit)):
        return
    layout = widget.layout()
    if layout is not None:
        yield from _inside(layout)


def _inside(layout: QLayout) -> Iterator[QWidget]:
    for place in range(layout.count()):
        item = layout.itemAt(place)
        assert item is not None
        inner, widget = item.layout(), item.widget()
        if inner is not None:
            yield from _inside(inner)
        elif widget is not None and not widget.isHidden():
            yield from _walk(widget)


def _row(widget: QWidget) -> tuple[str, str, str] | None:
    """Name, value and words of a field or an answer; None for anything else."""
    if isinstance(widget, AnswerLine):
        words = " ".join(part for part in (widget.problem, widget.remark) if part)
        return (widget.name, widget.text, words) if widget.text or words else None
    if isinstance(widget, QComboBox):
        return widget.accessibleName(), widget.currentText(), ""
    if isinstance(widget, QCheckBox):
        return widget.text().replace("&", ""), "yes" if widget.isChecked() else "no", ""
    if isinstance(widget, QLineEdit):
        return (widget.accessibleName(), widget.text(), "") if widget.text() else None
    return None


def _free(widget: QWidget) -> str | None:
    """Words, tables and pictures that stand for themselves."""
    if isinstance(widget, QLabel) and widget.objectName() in _WORDS and widget.text():
        return f'<p class="{widget.objectName()}">{escape(widget.text())}</p>'
    if isinstance(widget, QTableView):
        return _cells(widget)
    return _embedded(widget.picture()) if _draws(widget) else None


def _heading(card: Card) -> list[str]:
    return [f"<h2>{escape(card.accessibleName())}</h2>"] if card.accessibleName() else []


def _table(rows: list[tuple[str, str, str]]) -> list[str]:
    if not rows:
        return []
    lines = (
        f'<tr><td class="name" width="30%">{escape(name)}</td>'
        f'<td class="value" width="26%">{escape(value)}</td><td class="quiet">{escape(words)}</td></tr>'
        for name, value, words in rows
    )
    return [f'<table class="answers" width="100%" cellspacing="0" cellpadding="1">{"".join(lines)}</table>']


def _cells(view: QTableView) -> str:
    model = view.model()
    across, down = range(model.columnCount()), range(model.rowCount())
    side = Qt.Orientation.Horizontal
    head = "".join(f"<th>{escape(str(model.headerData(column, side) or ''))}</th>" for column in across)
    body = "".join(
        "<tr>"
        + "".join(f"<td>{escape(str(model.index(row, column).data() or ''))}</td>" for column in across)
        + "</tr>"
        for row in down
    )
    return f'<table class="grid" width="100%" cellspacing="0" cellpadding="2"><tr>{head}</tr>{body}</table>'


def _draws(widget: QWidget) -> TypeGuard[_Drawn]:
    """Whether a widget offers a picture of itself, as the diagram does."""
    return isinstance(widget, _Drawn) and not isinstance(widget, QLabel)


def _embedded(picture: QImage) -> str:
    content = QByteArray()
    buffer = QBuffer(content)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    QImageWriter(buffer, QByteArray(b"png")).write(picture)
    data = base64.b64encode(content.data()).decode("ascii")
    height = round(_PICTURE_PX * picture.height() / max(picture.width(), 1))
    return f'<p><img src="data:image/png;base64,{data}" width="{_PICTURE_PX}" height="{height}"></p>'
