"""A host as small as the calculator's page needs, and the page itself."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import pytest

from knowngood.bench import Bench
from knowngood.drafts import Drafts
from knowngood.units import System, Units
from knowngood_calculator.panels.page import CalculatorPage
from knowngood_calculator.plugin import pages

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.api import Host, Sheet
    from knowngood_refdata.store import Store


class SmallHost:
    """As much of the program as the page asks for; the library only where a test opens one."""

    store: Store
    drafts: Drafts

    def __init__(self) -> None:
        self.units, self.bench = Units(System.US), Bench()
        self.said: list[str] = []
        self.sheets: list[Sheet] = []

    def say(self, text: str) -> None:
        self.said.append(text)

    def sheet_pdf(self, sheet: Sheet, path: Path) -> None:
        self.sheets.append(sheet)
        path.write_text(sheet.html, "utf-8")

    def print_sheet(self, sheet: Sheet) -> None:
        self.sheets.append(sheet)


@pytest.fixture
def host(tmp_path: Path, qapp: object) -> Iterator[SmallHost]:
    made = SmallHost()
    made.drafts = Drafts(tmp_path / "drafts.json")
    yield made
    made.drafts.close()


@pytest.fixture
def page(host: SmallHost, qtbot: QtBot) -> CalculatorPage:
    (announced,) = pages()
    made = announced.factory(cast("Host", host))
    assert isinstance(made, CalculatorPage)
    qtbot.addWidget(made)
    made.resize(1280, 800)
    made.show()
    return made
