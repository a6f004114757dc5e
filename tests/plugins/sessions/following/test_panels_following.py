"""Following a log on the screen: a thread writes the file while the program reads it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QMessageBox, QPushButton, QWidget

from knowngood.drafts import Drafts
from knowngood_refdata.errors import LibraryLocked
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import Role
from knowngood_sessions.panels import following_log
from knowngood_sessions.panels.following import Following
from knowngood_sessions.panels.mapping_dialog import MappingDialog

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from numpy.typing import NDArray
    from pytestqt.qtbot import QtBot

    from knowngood_refdata.records import SessionInfo
    from knowngood_sessions.gather import Session

    from .conftest import Logger, ShopHost


class Page(QWidget):
    """Collects what the session page is told."""

    def __init__(self, host: ShopHost) -> None:
        super().__init__()
        self.following = Following(host, self)
        self.time_s: NDArray[np.float64] = np.empty(0)
        self.low_pa: NDArray[np.float64] = np.empty(0)
        self.began, self.found, self.ended = 0, 0, 0
        self.refused: list[str] = []
        self.stored: list[SessionInfo] = []
        self.following.began.connect(self._begin)
        self.following.grew.connect(self._grow)
        self.following.found.connect(self._find)
        self.following.refused.connect(self.refused.append)
        self.following.stored.connect(lambda info, _: self.stored.append(info))
        self.following.ended.connect(self._end)

    def _begin(self, session: Session) -> None:
        self.began += 1
        self.time_s, self.low_pa = np.empty(0), np.empty(0)
        self._grow(session)

    def _grow(self, session: Session) -> None:
        first = self.time_s.size
        low_pa = next(one.values for one in session.traces if one.key == Role.LOW_SIDE.value)
        self.time_s = np.concatenate([self.time_s, session.recording.time_s[first:]])
        self.low_pa = np.concatenate([self.low_pa, low_pa[first:]])

    def _find(self, session: Session) -> None:
        self.found += 1

    def _end(self) -> None:
        self.ended += 1


@pytest.fixture
def page(host: ShopHost, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> Iterator[Page]:
    monkeypatch.setattr(following_log, "LOOK_EVERY_MS", 20)
    host.bench.take_vehicle(host.add_vehicle())
    made = Page(host)
    qtbot.addWidget(made)
    qtbot.addWidget(made.following.bar)
    yield made
    if made.following.active:
        made.following.discard()
        qtbot.waitUntil(lambda: not host.tasks.running, timeout=10_000)


@pytest.fixture
def path(tmp_path: Path, two_plateau_csv: bytes) -> Path:
    path = tmp_path / "bay 3.csv"
    path.write_bytes(two_plateau_csv[:8_000])
    return path


def asked(page: Page, qtbot: QtBot) -> MappingDialog:
    qtbot.waitUntil(lambda: page.following.dialog is not None, timeout=10_000)
    dialog = page.following.dialog
    assert isinstance(dialog, MappingDialog)
    return dialog


def followed(page: Page, path: Path, qtbot: QtBot) -> None:
    page.following.start(path)
    QTest.mouseClick(asked(page, qtbot).import_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: page.began == 1, timeout=10_000)


def click(page: Page, name: str) -> None:
    buttons = page.following.bar.findChildren(QPushButton)
    QTest.mouseClick(next(one for one in buttons if one.text() == name), Qt.MouseButton.LeftButton)


def words(page: Page) -> str:
    bar = page.following.bar
    return " ".join((bar._title.text(), bar._state.text(), bar._told.text()))


def test_a_log_grows_on_the_page_while_a_thread_writes_it_and_is_stored_whole(
    page: Page,
    host: ShopHost,
    path: Path,
    two_plateau_csv: bytes,
    logger: type[Logger],
    qtbot: QtBot,
) -> None:
    followed(page, path, qtbot)
    rest = two_plateau_csv[8_000:]
    writer = logger(path, [rest[at : at + 777] for at in range(0, len(rest), 777)])
    writer.start()
    qtbot.waitUntil(lambda: page.time_s.size == 780, timeout=20_000)
    writer.join()
    assert page.began == 1
    session = page.following.session
    assert session is not None
    np.testing.assert_array_equal(page.time_s, session.recording.time_s)
    low = session.derived.low_pa
    assert low is not None
    np.testing.assert_array_equal(page.low_pa, low)
    qtbot.waitUntil(lambda: len(page.following.session.findings.windows) >= 2, timeout=20_000)  # type: ignore[union-attr]
    assert "780 samples" in words(page)
    click(page, "&Finish and store")
    qtbot.waitUntil(lambda: bool(page.stored), timeout=20_000)
    (info,) = page.stored
    assert sessions.source(host.store, info.id) == two_plateau_csv
    assert host.bench.session == info
    assert info.technician == "R. Moss"
    assert not page.following.active
    assert not page.following.bar.isVisible()
    stored = sessions.recording(host.store, info.id)
    np.testing.assert_allclose(stored.time_s, page.time_s)


def test_a_file_without_a_header_yet_is_waited_for(
    page: Page, tmp_path: Path, two_plateau_csv: bytes, qtbot: QtBot
) -> None:
    path = tmp_path / "just begun.csv"
    path.write_bytes(b"Time (s),P_l")
    page.following.start(path)
    qtbot.waitUntil(lambda: "Waiting for just begun.csv" in words(page), timeout=10_000)
    assert page.following.bar.isVisible()
    path.write_bytes(two_plateau_csv[:6_000])
    assert asked(page, qtbot).windowTitle() == "Follow just begun.csv"
    page.following.discard()
    assert page.following.dialog is None or not page.following.dialog.isVisible()  # type: ignore[attr-defined]
    assert page.ended == 1


def test_what_was_written_during_a_pause_is_read_afterwards(
    page: Page, host: ShopHost, path: Path, two_plateau_csv: bytes, qtbot: QtBot
) -> None:
    followed(page, path, qtbot)
    click(page, "&Pause")
    # A look at the file that had begun before the pause still ends.
    qtbot.waitUntil(lambda: not host.tasks.running, timeout=10_000)
    with path.open("ab") as file:
        file.write(two_plateau_csv[8_000:9_000])
    before = page.time_s.size
    qtbot.wait(150)
    assert page.time_s.size == before
    assert words(page).startswith("Following") or words(page).startswith("Paused")
    click(page, "&Go on")
    qtbot.waitUntil(lambda: page.time_s.size > before, timeout=10_000)


def test_a_file_that_is_exchanged_is_told_and_what_was_read_is_stored(
    page: Page,
    host: ShopHost,
    path: Path,
    two_plateau_csv: bytes,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from knowngood_sessions.core.following import tail

    monkeypatch.setattr(tail, "GRACE_S", 0.1)
    followed(page, path, qtbot)
    path.write_bytes(b"Time (s),P_low (psig)\n0,12.0\n")
    qtbot.waitUntil(lambda: "another file now" in words(page), timeout=10_000)
    click(page, "&Finish and store")
    qtbot.waitUntil(lambda: bool(page.stored), timeout=20_000)
    assert sessions.source(host.store, page.stored[0].id) == two_plateau_csv[:8_000]


def test_a_second_recording_in_the_file_is_left_out_of_what_is_stored(
    page: Page, host: ShopHost, path: Path, two_plateau_csv: bytes, qtbot: QtBot
) -> None:
    begun = two_plateau_csv[: two_plateau_csv.rindex(b"\n", 0, 8_000) + 1]
    path.write_bytes(begun)
    followed(page, path, qtbot)
    with path.open("ab") as file:
        file.write(two_plateau_csv[:4_000])
    qtbot.waitUntil(lambda: "holds another recording" in words(page), timeout=10_000)
    click(page, "&Finish and store")
    qtbot.waitUntil(lambda: bool(page.stored), timeout=20_000)
    assert sessions.source(host.store, page.stored[0].id) == begun


def test_what_cannot_be_stored_is_kept_and_can_be_stored_later(
    page: Page, host: ShopHost, path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    followed(page, path, qtbot)

    def locked(*_: object) -> int:
        raise LibraryLocked("Another program holds the library. Nothing was stored. Try again.")

    with monkeypatch.context() as patch:
        patch.setattr(sessions, "save", locked)
        click(page, "&Finish and store")
        qtbot.waitUntil(lambda: "Another program holds the library" in words(page), timeout=10_000)
    assert page.stored == []
    click(page, "&Finish and store")
    qtbot.waitUntil(lambda: bool(page.stored), timeout=20_000)


def test_a_whole_file_that_is_in_the_library_is_not_stored_twice(
    page: Page, host: ShopHost, path: Path, qtbot: QtBot
) -> None:
    for _ in range(2):
        page.began = 0
        followed(page, path, qtbot)
        page.stored.clear()
        click(page, "&Finish and store")
        qtbot.waitUntil(lambda: bool(page.stored), timeout=20_000)
    assert len(sessions.list_sessions(host.store)) == 1


def test_a_discarded_log_is_stored_nowhere_and_its_file_stays(
    page: Page, host: ShopHost, path: Path, qtbot: QtBot
) -> None:
    followed(page, path, qtbot)
    before = path.read_bytes()
    click(page, "&Discard...")
    box = page.window().findChild(QMessageBox)
    assert box is not None
    assert "The file stays as the logger wrote it" in box.informativeText()
    box.button(QMessageBox.StandardButton.Discard).click()
    assert page.ended == 1
    assert not page.following.active
    assert path.read_bytes() == before
    assert sessions.list_sessions(host.store) == ()
    qtbot.waitUntil(lambda: not host.tasks.running, timeout=10_000)


def test_a_log_that_was_followed_when_the_program_ended_is_offered_again(
    page: Page, host: ShopHost, path: Path, qtbot: QtBot, tmp_path: Path
) -> None:
    followed(page, path, qtbot)
    vehicle = host.bench.vehicle
    host.drafts.close()
    page.following.discard()
    host.drafts = Drafts(tmp_path / "drafts.json")
    host.bench.take_vehicle(None)
    again = Page(host)
    qtbot.addWidget(again)
    qtbot.addWidget(again.following.bar)
    assert "bay 3.csv was being followed when the program ended" in words(again)
    click(again, "&Go on following")
    dialog = asked(again, qtbot)
    assert host.bench.vehicle == vehicle
    QTest.mouseClick(dialog.import_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: again.began == 1, timeout=10_000)
    again.following.discard()
    qtbot.waitUntil(lambda: not host.tasks.running, timeout=10_000)


def test_one_log_is_followed_at_a_time_and_only_with_a_vehicle_in_hand(
    page: Page, host: ShopHost, path: Path, qtbot: QtBot
) -> None:
    followed(page, path, qtbot)
    page.following.start(path)
    assert "followed already" in page.refused[-1]
    page.following.discard()
    host.bench.take_vehicle(None)
    page.following.start(path)
    assert "Take the vehicle in hand first" in page.refused[-1]
    qtbot.waitUntil(lambda: not host.tasks.running, timeout=10_000)


def test_the_bar_tells_how_old_the_last_sample_is(page: Page, path: Path, qtbot: QtBot) -> None:
    followed(page, path, qtbot)
    bar: Any = page.following.bar
    bar._grew_at -= 75.0
    bar._write()
    assert "last sample 75 s ago. The logger may have stopped" in words(page)


def test_the_bar_of_a_log_that_is_over_says_so_and_waits_for_no_sample(
    page: Page, path: Path, two_plateau_csv: bytes, qtbot: QtBot
) -> None:
    path.write_bytes(two_plateau_csv[: two_plateau_csv.rindex(b"\n", 0, 8_000) + 1])
    followed(page, path, qtbot)
    with path.open("ab") as file:
        file.write(two_plateau_csv[:4_000])
    qtbot.waitUntil(lambda: "holds another recording" in words(page), timeout=10_000)
    bar: Any = page.following.bar
    bar._grew_at -= 75.0
    bar._write()
    assert bar._title.text().startswith("Followed bay 3.csv")
    assert "last sample" not in words(page)
    assert not bar.pause_button.isVisible()
