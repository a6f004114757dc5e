"""What a drag of the mouse does: each is told where the mouse is and on which sheet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from knowngood.plotting.view import View

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood.plotting.scales import Across
    from knowngood.widgets.timeplot.sheet import Sheet
    from knowngood.widgets.timeplot.state import PlotState


class Drag(Protocol):
    """A drag that goes on and ends."""

    def move(self, x: float, sheet: Sheet) -> None:
        """The mouse is at ``x`` [px]."""

    def drop(self, x: float, sheet: Sheet) -> None:
        """The mouse was let go at ``x`` [px]."""


@dataclass(frozen=True)
class Pan:
    """Takes the view along; places are read on the scale that the drag began with."""

    state: PlotState
    view: View
    across: Across
    begun_s: float

    def move(self, x: float, sheet: Sheet) -> None:  # noqa: ARG002 - as every drag
        """Move the view as far as the mouse went."""
        self.state.look(self.view.moved(self.begun_s - self.across.moment(x)))

    drop = move


@dataclass(frozen=True)
class Zoom:
    """Drags out the stretch that will fill the view."""

    state: PlotState
    begun_s: float

    def move(self, x: float, sheet: Sheet) -> None:
        """Show the stretch."""
        self.state.show_drag((self.begun_s, sheet.across.moment(x)))

    def drop(self, x: float, sheet: Sheet) -> None:
        """Fill the view with it."""
        self.state.show_drag(None)
        self.state.look(View(*sorted((self.begun_s, sheet.across.moment(x)))))


@dataclass(frozen=True)
class MoveLine:
    """Moves a measuring line from sample to sample."""

    state: PlotState
    line: str

    def move(self, x: float, sheet: Sheet) -> None:
        """Place the line."""
        self.state.move_line(self.line, self.state.snapped(sheet.across.moment(x)))

    drop = move


@dataclass(frozen=True)
class Stretch:
    """Drags out a stretch from a moment that stays, then hands start and end [s] to ``done``."""

    state: PlotState
    stays_s: float
    done: Callable[[float, float], None]

    def move(self, x: float, sheet: Sheet) -> None:
        """Show the stretch."""
        self.state.show_drag((self.stays_s, self.state.snapped(sheet.across.moment(x))))

    def drop(self, x: float, sheet: Sheet) -> None:
        """Hand over what was dragged out, unless it has no length."""
        self.state.show_drag(None)
        start, end = sorted((self.stays_s, self.state.snapped(sheet.across.moment(x))))
        if end > start:
            self.done(start, end)
