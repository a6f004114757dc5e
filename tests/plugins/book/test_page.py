"""The page of the book in a window, with an empty library and with one that holds readings."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from PySide6.QtWidgets import QLabel

from knowngood.units import System
from knowngood_book.panels.page import BookPage
from knowngood_demo.shop import ensure_library
from knowngood_refdata.store import Store

from ..window_host import window_host

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.host import WindowHost


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("shop") / "shop.sqlite"
    ensure_library(path)
    return path


@pytest.fixture
def host(tmp_path: Path, qtbot: QtBot) -> Iterator[WindowHost]:
    store = Store.open(tmp_path / "empty.sqlite", user="Ada Fell")
    with window_host(store, tmp_path, []) as made:
        yield made
    store.close()


def texts(page: BookPage) -> str:
    return "\n".join(label.text() for label in page.findChildren(QLabel) if label.isVisibleTo(page))


def shown(qtbot: QtBot, host: WindowHost) -> BookPage:
    page = BookPage(host)
    qtbot.addWidget(page)
    page.resize(1080, 740)
    page.show()
    qtbot.waitUntil(lambda: page.whole is not None, timeout=20_000)
    return page


def test_an_empty_book_says_what_to_do_first(qtbot: QtBot, host: WindowHost) -> None:
    page = shown(qtbot, host)
    assert "offer its steady windows to the book" in texts(page)


def test_the_book_of_the_shop_is_shown_section_by_section(qtbot: QtBot, host: WindowHost, shop: Path) -> None:
    host = replace(host, store=Store.open(shop, user="Ada Fell"))
    page = shown(qtbot, host)
    families = page.sections.section("patterns").families.grid
    names = [families.text(row, 0) for row in range(families.rowCount())]
    assert "Fen orifice-tube system, fixed" in names
    # Common practice, no source: a fixed compressor at full stroke pulls the low side down with speed.
    assert families.text(names.index("Fen orifice-tube system, fixed"), 6) == "low falls, high rises"
    page.sections.show_section("calibration")
    calibration = page.sections.section("calibration")
    qtbot.waitUntil(lambda: calibration.found is not None, timeout=60_000)
    assert "readings left out" in texts(page)
    every = calibration.found.calibration.tally()
    assert 0.80 < every.share < 0.99
    assert f"held {every.held} of {every.of}" in page.sections.sheet().html
    page.sections.show_section("doubtful")
    assert "Doubtful readings" in texts(page)
    si = page.sections.sheet().html
    host.units.set_system(System.US)
    assert page.sections.sheet().html != si or " K off" not in si
    host.store.close()
