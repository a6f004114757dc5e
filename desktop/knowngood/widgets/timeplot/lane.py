"""The lane above the panels: the words of windows, events and annotations, none on top of another."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from knowngood.plotting.layout import LANE_ROW_PX
from knowngood.plotting.words import place
from knowngood.widgets import theme

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from knowngood.widgets.timeplot.sheet import Sheet

_LONGEST_PX = 170.0
# There may be dozens of lines: paler than the words above, they leave the curves in front. Mixed, not
# transparent: Qt draws a transparent dash twenty times slower.
_EVENT_LINE, _NOTE_LINE = QColor("#cdb98b"), QColor("#aeb2b5")
WINDOW, EVENT, NOTE = "window", "event", "note"
_PADS = {WINDOW: 4.0, EVENT: 4.0, NOTE: 11.0}
_INKS = {WINDOW: theme.ACCENT, EVENT: theme.EVENT, NOTE: theme.INK}
_LINES = {EVENT: theme.EVENT, NOTE: "#7d8387"}


@dataclass(frozen=True)
class LaneWord:
    """A word of the lane: of what kind (`WINDOW`, `EVENT`, `NOTE`), its number, its place."""

    kind: str
    index: int
    box: QRectF
    text: str


@dataclass(frozen=True)
class Lane:
    """The words that found room, and the texts of those that did not, with the row of their kind."""

    words: tuple[LaneWord, ...]
    left_out: tuple[tuple[str, tuple[int, ...], float], ...]

    def at(self, x: float, y: float) -> LaneWord | None:
        """The word at a place."""
        return next((word for word in self.words if word.box.contains(QPointF(x, y))), None)


def laid_in_lane(sheet: Sheet) -> Lane:
    """Find places for the words of everything in view."""
    words: list[LaneWord] = []
    left_out: list[tuple[str, tuple[int, ...], float]] = []
    top = sheet.layout.lane.top
    for kind, rows, marks in _kinds(sheet):
        texts = [(at, sheet.letters.shortened(text, _LONGEST_PX)) for at, text in marks]
        wanted = [
            (sheet.across.x(at), sheet.letters.width(text) + _PADS[kind] + 2.0 if text else -1.0)
            for at, text in texts
        ]
        shown = [number for number, (_, width) in enumerate(wanted) if width > 0.0]
        lane = sheet.layout.lane
        found = place([wanted[number] for number in shown], lane.left, lane.right, rows, 6.0)
        for one in found.placed:
            number = shown[one.index]
            box = QRectF(one.x, top + one.row * LANE_ROW_PX, one.width, LANE_ROW_PX)
            words.append(LaneWord(kind, number, box, texts[number][1]))
        if found.left_out and rows:
            hidden = tuple(shown[number] for number in found.left_out)
            left_out.append((kind, hidden, top + rows * LANE_ROW_PX / 2))
        top += rows * LANE_ROW_PX
    return Lane(tuple(words), tuple(left_out))


def paint_lane(painter: QPainter, sheet: Sheet, lane: Lane) -> None:
    """Write the words, and in the gutter how many found no room."""
    for word in lane.words:
        if word.kind != WINDOW:
            _paint_foot(painter, sheet, word)
    for word in lane.words:
        _paint_word(painter, sheet, word)
    for kind, hidden, middle in lane.left_out:
        sheet.letters.draw_to(painter, sheet.layout.lane.left - 6.0, middle, f"+{len(hidden)}", _INKS[kind])


def paint_mark_lines(painter: QPainter, sheet: Sheet) -> None:
    """Events and annotations as lines through all panels."""
    body = sheet.layout.body
    for moments, colour, style in (
        ([at for at, _ in sheet.marks.events], _EVENT_LINE, Qt.PenStyle.DashLine),
        ([one.at_s for one in sheet.marks.annotations], _NOTE_LINE, Qt.PenStyle.DotLine),
    ):
        painter.setPen(QPen(colour, 1.0, style))
        for at in moments:
            if sheet.view.start_s <= at <= sheet.view.end_s:
                x = round(sheet.across.x(at)) + 0.5
                painter.drawLine(QLineF(x, sheet.layout.lane.bottom, x, body.bottom))


def _kinds(sheet: Sheet) -> Iterator[tuple[str, int, Sequence[tuple[float, str]]]]:
    view, rows, marks = sheet.view, sheet.layout.rows, sheet.marks
    # A window whose beginning is out of view keeps its words at the edge.
    windows = [
        (max(start, view.start_s) if end > view.start_s else start, label)
        for start, end, label in marks.windows
    ]
    yield NOTE, rows.notes, [(one.at_s, one.text) for one in marks.annotations]
    yield EVENT, rows.events, marks.events
    yield WINDOW, rows.windows, windows


def _paint_foot(painter: QPainter, sheet: Sheet, word: LaneWord) -> None:
    """The line of a mark goes up to its word."""
    marks = sheet.marks
    at = marks.events[word.index][0] if word.kind == EVENT else marks.annotations[word.index].at_s
    painter.setPen(QPen(QColor(_LINES[word.kind]), 1.0))
    x = round(sheet.across.x(at)) + 0.5
    painter.drawLine(QLineF(x, word.box.top() + 2.0, x, sheet.layout.lane.bottom))


def _paint_word(painter: QPainter, sheet: Sheet, word: LaneWord) -> None:
    x, middle = word.box.left() + _PADS[word.kind], word.box.center().y()
    # Lines that come down from words above may not strike this one through.
    ground = word.box.adjusted(2.0, 1.0, 0.0, -2.0)
    painter.fillRect(ground, QColor(theme.CARD))
    if word.kind == NOTE:
        _paint_flag(painter, word.box.left() + 2.0, middle)
    sheet.letters.draw(painter, x, middle, word.text, _INKS[word.kind])


def _paint_flag(painter: QPainter, x: float, middle: float) -> None:
    painter.setBrush(QColor(theme.INK))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.drawPolygon(
        QPolygonF([QPointF(x, middle - 4), QPointF(x + 6, middle - 1), QPointF(x, middle + 2)])
    )
