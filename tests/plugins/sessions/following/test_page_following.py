"""The session page while a log is followed: plot, findings and bar grow with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from knowngood.units import System
from knowngood_refdata.queries import sessions
from knowngood_sessions import session_panels
from knowngood_sessions.panels import following_log, session_view
from knowngood_sessions.panels.mapping_dialog import MappingDialog
from knowngood_sessions.panels.plotter import PlotterPage

if TYPE_CHECKING:
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from .conftest import ShopHost


@pytest.fixture
def page(host: ShopHost, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> PlotterPage:
    monkeypatch.setattr(following_log, "LOOK_EVERY_MS", 20)
    host.bench.take_vehicle(host.add_vehicle())
    made = PlotterPage(host)

    def end(_: object) -> None:
        # Widgets are closed before fixtures end; what still runs then would come back to nothing.
        if made.following.active:
            made.following.discard()
        qtbot.waitUntil(lambda: not host.tasks.running, timeout=10_000)

    qtbot.addWidget(made, before_close_func=end)
    made.resize(1100, 760)
    made.show()
    return made


@pytest.fixture
def path(tmp_path: Path, two_plateau_csv: bytes) -> Path:
    path = tmp_path / "bay 3.csv"
    path.write_bytes(two_plateau_csv[:8_000])
    return path


def followed(page: PlotterPage, path: Path, qtbot: QtBot) -> None:
    page.following.start(path)
    qtbot.waitUntil(lambda: page.following.dialog is not None, timeout=10_000)
    dialog = page.following.dialog
    assert isinstance(dialog, MappingDialog)
    QTest.mouseClick(dialog.import_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: drawn(page) > 0, timeout=10_000)


def drawn(page: PlotterPage) -> int:
    return page.view._drawn


def samples(page: PlotterPage) -> int:
    session = page.view.session
    return 0 if session is None else session.recording.time_s.size


def add(path: Path, data: bytes) -> None:
    with path.open("ab") as file:
        file.write(data)


def texts(page: PlotterPage) -> str:
    listed = page.view.findings.list
    return "\n".join(listed.item(row).text() for row in range(listed.count()))


@pytest.mark.parametrize("slow_samples", [10**9, 0])
def test_plot_and_findings_grow_with_the_file_and_the_session_is_stored_at_the_end(
    page: PlotterPage,
    host: ShopHost,
    path: Path,
    two_plateau_csv: bytes,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
    slow_samples: int,
) -> None:
    # With 0 the curves are made ready off the GUI thread, while the file goes on growing.
    monkeypatch.setattr(session_view, "SLOW_SAMPLES", slow_samples)
    assert session_panels.SLOW_SAMPLES > 0
    followed(page, path, qtbot)
    for at in range(8_000, len(two_plateau_csv), 3_000):
        add(path, two_plateau_csv[at : at + 3_000])
        before = drawn(page)
        qtbot.waitUntil(lambda before=before: drawn(page) > before, timeout=10_000)  # type: ignore[misc]
        host.units.set_system(System.SI if host.units.system is System.US else System.US)
    qtbot.waitUntil(lambda: drawn(page) == samples(page) == 780, timeout=10_000)
    span = page.view.plot.visible_range()
    assert span is not None
    assert span[1] == pytest.approx(779.0, abs=1.0)
    qtbot.waitUntil(lambda: "fan switched" in texts(page), timeout=15_000)
    page.following.finish()
    qtbot.waitUntil(lambda: host.bench.session is not None, timeout=15_000)
    stored = host.bench.session
    assert stored is not None
    assert sessions.source(host.store, stored.id) == two_plateau_csv
    qtbot.waitUntil(lambda: page.view.session is not None and page.view.session.info == stored)
    assert not page.following.bar.isVisible()
    qtbot.waitUntil(lambda: not host.tasks.running, timeout=10_000)


def test_another_session_can_be_looked_at_while_the_following_goes_on(
    page: PlotterPage, host: ShopHost, path: Path, two_plateau_csv: bytes, qtbot: QtBot, tmp_path: Path
) -> None:
    followed(page, path, qtbot)
    page.following.finish()
    qtbot.waitUntil(lambda: host.bench.session is not None, timeout=15_000)
    stored = host.bench.session
    second = tmp_path / "second run.csv"
    second.write_bytes(two_plateau_csv[:9_000])
    followed(page, second, qtbot)
    assert host.bench.session is None
    host.bench.take_session(stored)
    qtbot.waitUntil(lambda: page.view.session is not None and page.view.session.info == stored)
    assert page.following.bar.show_button.isVisible()
    add(second, two_plateau_csv[9_000:12_000])
    qtbot.waitUntil(
        lambda: page.following.session is not None and page.following.session.info.sample_count > 350
    )
    assert page.view.session is not None
    assert page.view.session.info == stored
    QTest.mouseClick(page.following.bar.show_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: samples(page) > 350 and drawn(page) == samples(page), timeout=10_000)
    assert not page.following.bar.show_button.isVisible()


def test_a_zoom_into_the_past_stays_while_the_file_grows(
    page: PlotterPage, path: Path, two_plateau_csv: bytes, qtbot: QtBot
) -> None:
    followed(page, path, qtbot)
    page.view.plot.show_range(20.0, 60.0)
    add(path, two_plateau_csv[8_000:12_000])
    before = drawn(page)
    qtbot.waitUntil(lambda: drawn(page) > before, timeout=10_000)
    assert page.view.plot.visible_range() == pytest.approx((20.0, 60.0), abs=0.5)


def test_a_log_that_is_not_stored_yet_can_be_looked_at_but_not_worked_on(
    page: PlotterPage, path: Path, qtbot: QtBot
) -> None:
    followed(page, path, qtbot)
    page.view.tools.window_wanted.emit()
    assert "once the session is stored" in page._message.text()
    assert not page.bar.session_button.isEnabled()


def test_what_is_laid_over_and_where_the_findings_are_scrolled_stays_while_the_file_grows(
    page: PlotterPage, host: ShopHost, path: Path, two_plateau_csv: bytes, qtbot: QtBot, tmp_path: Path
) -> None:
    followed(page, path, qtbot)
    page.following.finish()
    qtbot.waitUntil(lambda: host.bench.session is not None, timeout=15_000)
    second = tmp_path / "second run.csv"
    second.write_bytes(two_plateau_csv[:20_000])
    followed(page, second, qtbot)
    page.resize(1_100, 420)
    qtbot.waitUntil(lambda: page.view.session is page.following.session is not None, timeout=10_000)
    qtbot.waitUntil(lambda: "steady" in texts(page).lower(), timeout=10_000)
    page.view.overlays.sessions.setCurrentIndex(1)
    page.view.overlays.sessions.activated.emit(1)
    qtbot.waitUntil(lambda: page.view.overlay is not None, timeout=10_000)
    bar = page.view.findings.list.verticalScrollBar()
    bar.setValue(bar.maximum())
    before, shown = bar.value(), texts(page)
    assert before > 0, "there is nothing to scroll"
    add(second, two_plateau_csv[20_000:])
    qtbot.waitUntil(lambda: texts(page) != shown, timeout=15_000)
    assert bar.value() == before
    assert page.view.overlay is not None
    assert page.view.overlays.sessions.currentIndex() == 1
