"""The keys of a plot: everything the mouse does but dragging can be done without it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt

from knowngood.widgets.timeplot.state import CURSOR, A, B

if TYPE_CHECKING:
    from PySide6.QtGui import QKeyEvent

    from knowngood.widgets.timeplot.state import PlotState

MANY = 10
"""With the shift key an arrow goes so many samples."""

ZOOM = 0.5
_PAGE, _LITTLE = 0.8, 0.1
_Key = Qt.Key

_ARROWS = {_Key.Key_Left: -1, _Key.Key_Right: 1}
_PAGES = {_Key.Key_PageUp: -_PAGE, _Key.Key_PageDown: _PAGE}
_ZOOMS = {_Key.Key_Plus: ZOOM, _Key.Key_Equal: ZOOM, _Key.Key_Minus: 1 / ZOOM}
_LINES = {_Key.Key_A: A, _Key.Key_B: B, _Key.Key_C: CURSOR}
_ENDS = {_Key.Key_Home: 0, _Key.Key_End: -1}


def act(state: PlotState, event: QKeyEvent) -> bool:
    """Do what a key is for; whether it is for anything here."""
    view = state.view
    if view is None or not state.traces.samples:
        return False
    key, held = _Key(event.key()), event.modifiers()
    if key in _ARROWS and held & Qt.KeyboardModifier.ControlModifier:
        _to_mark(state, later=_ARROWS[key] > 0)
    elif key in _ARROWS and held & Qt.KeyboardModifier.AltModifier:
        state.look(view.moved(_ARROWS[key] * _LITTLE * view.span_s))
    elif key in _ARROWS:
        _step(state, _ARROWS[key] * (MANY if held & Qt.KeyboardModifier.ShiftModifier else 1))
    elif held & Qt.KeyboardModifier.ControlModifier:
        return False
    elif key in _PAGES:
        state.look(view.moved(_PAGES[key] * view.span_s))
    elif key in _ZOOMS:
        state.look(view.zoomed(_ZOOMS[key], _middle(state)))
    elif key in _ENDS:
        _place(state, state.traces.axis.moments.at(_ENDS[key]))
    elif key in _LINES:
        state.choose(_LINES[key])
    elif key == _Key.Key_0:
        state.look_at_all()
    elif key == _Key.Key_Escape:
        return _escape(state)
    else:
        return False
    return True


def _step(state: PlotState, samples: int) -> None:
    at_s = state.line_s()
    here = _middle(state) if at_s is None else at_s
    # The first stroke shows the cursor; only the next one moves it.
    _place(state, state.snapped(here) if at_s is None else state.traces.axis.stepped(here, samples))


def _to_mark(state: PlotState, *, later: bool) -> None:
    found = state.marks.next_to(_middle(state), later=later)
    if found is not None:
        _place(state, found)


def _place(state: PlotState, at_s: float) -> None:
    state.move_line(state.active, at_s)
    if state.view is not None:
        state.look(state.view.holding(at_s))


def _middle(state: PlotState) -> float:
    """Where the moved line stands, or the middle of the view when it is not in view."""
    at_s, view = state.line_s(), state.view
    assert view is not None
    if at_s is not None and view.start_s <= at_s <= view.end_s:
        return at_s
    return 0.5 * (view.start_s + view.end_s)


def _escape(state: PlotState) -> bool:
    """Leave one thing after the other: the measuring lines, then the cursor."""
    if state.measured is not None:
        state.end_measuring()
    elif state.cursor_s is not None:
        state.place_cursor(None, held=False)
    else:
        return False
    return True
