"""The pressure-enthalpy diagram: what is in view, what is named, and the picture of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QImage, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog

from knowngood.scales import System
from knowngood.units import Units
from knowngood.widgets import CycleDiagram, DrawnCycle, theme
from knowngood_refdata import cycle
from knowngood_refdata.states import fluid

if TYPE_CHECKING:
    from pathlib import Path

    from pytestqt.qtbot import QtBot

CYCLE = cycle.assumed(fluid("R-134a"), 278.15, 323.15, superheat_k=5.0, subcooling_k=5.0)


@pytest.fixture
def units() -> Units:
    return Units(System.SI)


@pytest.fixture
def diagram(units: Units, qtbot: QtBot) -> CycleDiagram:
    made = CycleDiagram(units)
    qtbot.addWidget(made)
    made.resize(640, 480)
    made.show_refrigerants("R-134a")
    made.show()
    qtbot.waitExposed(made)
    return made


def coloured(image: QImage, colour: str) -> int:
    """How many points of a picture have about a colour."""
    points = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.width(), 4)
    wanted = QColor(colour)
    apart = np.abs(points[..., :3].astype(int) - [wanted.blue(), wanted.green(), wanted.red()])
    return int((apart.sum(axis=2) < 12).sum())


def test_the_whole_diagram_holds_the_dome_of_its_refrigerant(diagram: CycleDiagram) -> None:
    least, most, low, high = diagram.plot.view
    # Critical pressure of R-134a: 40.59 bar (Tillner-Roth and Baehr 1994); saturated vapour at 0 °C: 398.6
    # kJ/kg counted from 200 kJ/kg.
    assert low < 1.0
    assert high > 40.59
    assert least < 200.0
    assert most > 398.6


def test_the_wheel_comes_closer_and_a_double_click_shows_everything(diagram: CycleDiagram) -> None:
    whole = diagram.plot.view
    viewport = diagram.plot.canvas.viewport()
    centre = QPointF(viewport.rect().center())
    event = QWheelEvent(
        centre, viewport.mapToGlobal(centre), QPoint(), QPoint(0, 240), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(viewport, event)
    closer = diagram.plot.view
    assert closer[1] - closer[0] < 0.9 * (whole[1] - whole[0])
    QTest.mouseDClick(viewport, Qt.MouseButton.LeftButton, pos=viewport.rect().center())
    assert diagram.plot.view == pytest.approx(whole)


def test_the_view_stays_when_another_cycle_is_drawn(diagram: CycleDiagram) -> None:
    diagram.plot.show_part(200.0, 300.0, 2.0, 20.0)
    before = diagram.plot.view
    diagram.show_cycles(DrawnCycle(CYCLE, "now"))
    assert diagram.plot.view == pytest.approx(before)


def test_a_cycle_is_painted_in_its_colour_and_taken_away_again(diagram: CycleDiagram) -> None:
    assert coloured(diagram.picture(), theme.ACCENT) == 0
    diagram.show_cycles(DrawnCycle(CYCLE, "now"))
    assert coloured(diagram.picture(), theme.ACCENT) > 200
    diagram.show_cycles()
    assert coloured(diagram.picture(), theme.ACCENT) == 0


def test_points_that_are_one_share_their_number(diagram: CycleDiagram) -> None:
    assert [mark[2] for mark in diagram.path_of(DrawnCycle(CYCLE, "now")).marks] == ["1, 2", "3", "4, 5", "6"]
    exchanged = cycle.assumed(fluid("R-134a"), 278.15, 323.15, superheat_k=5.0, exchanger_effectiveness=0.4)
    marks = diagram.path_of(DrawnCycle(exchanged, "now")).marks
    assert [mark[2] for mark in marks] == ["1", "2", "3", "4", "5", "6"]


def test_the_unit_switch_draws_round_values_of_the_other_system(diagram: CycleDiagram, units: Units) -> None:
    assert "40" in diagram.plot.names
    assert "-40" in diagram.plot.names
    units.set_system(System.US)
    diagram.show_refrigerants("R-134a")
    assert {"80", "120", "160"} <= set(diagram.plot.names)


def test_two_refrigerants_show_their_domes_side_by_side(diagram: CycleDiagram) -> None:
    diagram.show_refrigerants("R-134a", "R-1234yf")
    assert set(diagram.plot.names) == {"R-134a", "R-1234yf"}


def test_the_picture_is_saved_larger_than_the_screen(
    diagram: CycleDiagram, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "cycle"), ""))
    with qtbot.waitSignal(diagram.told) as told:
        diagram.save()
    saved = QImage(str(tmp_path / "cycle.png"))
    assert saved.width() >= 2 * diagram.plot.width()
    assert told.args == [f"Saved {tmp_path / 'cycle.png'}."]


def test_a_place_that_cannot_be_written_is_told(
    diagram: CycleDiagram, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "no" / "x.png"), ""))
    with qtbot.waitSignal(diagram.told) as told:
        diagram.save()
    assert told.args is not None
    assert "cannot be written" in told.args[0]
