"""What a person does and reads at the calculator's page."""

from __future__ import annotations

import statistics
import time
from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton

from knowngood_calculator.panels.saturation_section import SaturationSection
from knowngood_calculator.panels.section import Section
from knowngood_calculator.panels.sides_section import SidesSection

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.widgets.answer_line import AnswerLine
    from knowngood_calculator.panels.page import CalculatorPage
    from knowngood_calculator.panels.saturation_card import SaturationCard

Shown = TypeVar("Shown", bound=Section)


def press(page: CalculatorPage, title: str) -> None:
    next(one for one in page.findChildren(QPushButton) if one.text() == title).click()


def copy_button(line: AnswerLine) -> QPushButton:
    button = line.findChild(QPushButton)
    assert button is not None
    return button


def number(text: str) -> float:
    return float(text.split()[0].replace("\N{MINUS SIGN}", "-"))


def median_keystroke_s(*typed: tuple[QWidget, str]) -> float:
    """How long a key took until all was answered that hangs on its field, in the median [s]."""
    times = []
    for field, keys in typed:
        for key in keys:
            begun = time.perf_counter()
            QTest.keyClicks(field, key)
            times.append(time.perf_counter() - begun)
    return statistics.median(times)


def reached_by_tab(page: CalculatorPage) -> list[QWidget | None]:
    page.head.refrigerant.setFocus()
    reached: list[QWidget | None] = []
    while QApplication.focusWidget() not in reached:
        reached.append(QApplication.focusWidget())
        assert page.focusNextPrevChild(True)
    return reached


def visited_by_tab(fields: list[QWidget]) -> list[QWidget]:
    """Those of the fields that the Tab key leads to from the first one on, as many as there are."""
    fields[0].setFocus()
    visited: list[QWidget] = []
    for _ in range(60):
        focus = QApplication.focusWidget()
        assert focus is not None
        if focus in fields:
            visited.append(focus)
        QTest.keyClick(focus, Qt.Key.Key_Tab)
    return visited[: len(fields)]


def opened(page: CalculatorPage, key: str, kind: type[Shown]) -> Shown:
    """The section with this key, brought to the front."""
    page.show_section(key)
    made = page.section(key)
    assert isinstance(made, kind)
    return made


def saturation(page: CalculatorPage) -> SaturationCard:
    return opened(page, "saturation", SaturationSection).card


def sides(page: CalculatorPage) -> SidesSection:
    return opened(page, "sides", SidesSection)
