"""The page as a technician uses it: findings, keys, channels, overlay, two cursors, sizes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetrics

from knowngood.formatting import System
from knowngood_refdata.records import Role
from knowngood_sessions.panels.marks_dialogs import NoteDialog
from knowngood_sessions.panels.plotter import PlotterPage

from .the_page import press, settle, shown_number

if TYPE_CHECKING:
    from collections.abc import Callable

    from pytestqt.qtbot import QtBot

    from ..conftest import QuietHost


def test_every_finding_that_is_chosen_is_shown_on_the_plot_and_tells_its_samples(
    page: PlotterPage,
) -> None:
    listed, plot = page.view.findings.list, page.view.plot
    shown = 0
    for row in range(listed.count()):
        if not listed.item(row).flags() & Qt.ItemFlag.ItemIsSelectable:
            continue
        listed.setCurrentRow(row)
        line, span = listed.line, plot.visible_range()
        assert line is not None
        assert line.span_s is not None
        assert span is not None
        assert span[0] <= max(line.span_s[0], 0.0) + 1.0
        assert line.span_s[1] - 1.0 <= span[1] or span[1] == pytest.approx(779.0, abs=1.0)
        if line.details:
            assert "samples" in listed.item(row).text(), listed.item(row).text()
        shown += 1
    assert shown >= 8


def test_no_line_of_the_findings_is_cut_off(page: PlotterPage) -> None:
    listed = page.view.findings.list
    metrics = QFontMetrics(listed.font())
    for row in range(listed.count()):
        listed.setCurrentRow(row)
        item = listed.item(row)
        room = listed.visualItemRect(item)
        needed = metrics.boundingRect(
            0, 0, room.width(), 10_000, int(Qt.TextFlag.TextWordWrap), item.text()
        ).height()
        assert room.height() >= needed - metrics.leading() - 2, item.text()


def test_keys_note_measure_and_show_the_whole(page: PlotterPage, qtbot: QtBot) -> None:
    qtbot.waitActive(page)
    press(page, Qt.Key.Key_B, Qt.KeyboardModifier.ShiftModifier)
    assert isinstance(page.marks.dialog, NoteDialog)
    assert page.marks.dialog.kind.currentText() == "blower"
    page.marks.dialog.reject()
    press(page, Qt.Key.Key_M)
    assert page.view.tools.measure.isChecked()
    page.view.plot.show_range(100.0, 120.0)
    press(page, Qt.Key.Key_W)
    span = page.view.plot.visible_range()
    assert span is not None
    assert span[1] - span[0] > 700.0


def test_all_channels_are_read_at_the_cursor_and_between_two_lines(page: PlotterPage) -> None:
    table = page.view.values.table
    page.view.plot.set_cursor(120.0)
    assert page.view.session is not None
    assert table.rowCount() == len(page.view.session.traces)
    names = [table.text(row, 0) for row in range(table.rowCount())]
    low = names.index("low side, psig")
    assert float(table.text(low, 1)) == pytest.approx(30.0, abs=1.0)
    assert {"superheat, °F", "subcooling, °F", "condensing temperature, °F", "pressure ratio"} <= set(names)
    page.view.tools.measure.click()
    page.view.plot.set_measuring_lines(100.0, 400.0)
    assert table.columnCount() == 6
    # Idle to the forced fan: 30 to 43 and 150 to 101 psig.
    high = names.index("high side, psig")
    assert float(table.text(low, 3)) == pytest.approx(13.0, abs=1.5)
    assert float(table.text(high, 3).replace("−", "-")) == pytest.approx(-49.0, abs=3.0)


@pytest.mark.parametrize("width", [560, 1080, 1700])
def test_names_keep_their_room_beside_the_numbers(page: PlotterPage, width: int) -> None:
    page.resize(width, 700)
    page.view.tools.measure.click()
    page.view.plot.set_measuring_lines(100.0, 400.0)
    assert page.view.values.table.columnWidth(0) >= 100


def test_a_channel_is_put_on_another_plot_and_the_layout_is_kept(
    page: PlotterPage, quiet: QuietHost, qtbot: QtBot
) -> None:
    chooser = page.view.channels
    assert page.view.session is not None
    row = [one.key for one in page.view.session.traces].index(Role.ENGINE_SPEED.value)
    box = chooser.table.item(row, 1)
    assert box is not None
    box.setCheckState(Qt.CheckState.Checked)
    assert Role.ENGINE_SPEED.value in page.view.layout_now[0]
    keys = [curve.key for curve in page.view._ready.panels[0].curves] if page.view._ready else []
    assert Role.ENGINE_SPEED.value in keys
    again = PlotterPage(quiet)
    qtbot.addWidget(again)
    assert again.view.layout_now == page.view.layout_now
    chooser.usual.click()
    assert Role.ENGINE_SPEED.value not in page.view.layout_now[0]
    settle(again, quiet, qtbot)


def test_another_session_is_laid_over_aligned_at_an_engine_speed_step_and_read_at_the_cursor(
    page: PlotterPage,
    quiet: QuietHost,
    put_log: Callable[..., int],
    two_plateau_csv: bytes,
    qtbot: QtBot,
) -> None:
    lines = two_plateau_csv.decode().splitlines()
    later = "\n".join([lines[0], *lines[61:]]).encode()
    put_log(quiet.store, later, "later start.csv", quiet.vehicle.id)
    quiet.bench.findings_changed.emit(shown_number(page))
    settle(page, quiet, qtbot)
    box = page.view.overlays.sessions
    assert box.count() == 2
    box.setCurrentIndex(1)
    box.activated.emit(1)
    qtbot.waitUntil(lambda: page.view.overlay is not None, timeout=10_000)
    aligned = page.view.overlays.aligned
    steps = [at for at in range(aligned.count()) if aligned.itemText(at).startswith("engine speed step")]
    aligned.setCurrentIndex(steps[0])
    assert page.view.overlay is not None
    assert page.view.overlay.shift_s == pytest.approx(60.0, abs=1.5)
    page.view.plot.set_cursor(120.0)
    table = page.view.values.table
    head = table.horizontalHeaderItem(table.columnCount() - 1)
    assert head is not None
    assert head.text() == "other"
    assert float(table.text(0, table.columnCount() - 1)) == pytest.approx(float(table.text(0, 1)), abs=2.0)
    assert "other: later start" in page.view.values.where.text()
    box.setCurrentIndex(0)
    box.activated.emit(0)
    assert page.view.overlay is None


@pytest.mark.parametrize("system", System)
def test_without_known_good_readings_the_head_says_why_no_range_is_shown(
    page: PlotterPage, quiet: QuietHost, system: System
) -> None:
    quiet.units.set_system(system)
    assert "no known-good range: the book holds no known-good reading" in page.view._subtitle.full_text
    page.view.tools.bands.click()
    assert "known-good" not in page.view._subtitle.full_text


@pytest.mark.parametrize(("width", "height"), [(732, 432), (1052, 690), (1692, 970)])
def test_the_page_fits_the_windows_it_is_made_for(page: PlotterPage, width: int, height: int) -> None:
    assert page.minimumSizeHint().width() <= width
    assert page.minimumSizeHint().height() <= height
