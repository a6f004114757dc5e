"""A host without its window, and a log that a thread writes as a logger does."""

from __future__ import annotations

import threading
import time
from typing import TYPE_CHECKING

import pytest

from knowngood_refdata.store import Store
from knowngood_sessions.own_channels import own_channels

from ...open_host import OpenHost

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.api import DerivedChannel


class ShopHost(OpenHost):
    """A host of a library of its own, with the derived channels of this plugin."""

    def __init__(self, folder: Path) -> None:
        super().__init__(Store.open(folder / "library.sqlite", user="R. Moss"), folder)

    def derived_channels(self, refrigerant: str) -> tuple[DerivedChannel, ...]:
        return own_channels(refrigerant)

    def close(self) -> None:
        super().close()
        self.store.close()


class Logger(threading.Thread):
    """Writes pieces to a file, one after the other, as a logger that flushes when it likes."""

    def __init__(self, path: Path, pieces: Sequence[bytes], pause_s: float = 0.02) -> None:
        super().__init__(name="logger")
        self.path, self.pieces, self.pause_s = path, pieces, pause_s

    def run(self) -> None:
        for piece in self.pieces:
            with self.path.open("ab") as file:
                file.write(piece)
            time.sleep(self.pause_s)


@pytest.fixture
def host(qtbot: QtBot, tmp_path: Path) -> Iterator[ShopHost]:
    opened = ShopHost(tmp_path)
    yield opened
    opened.close()


@pytest.fixture
def logger() -> type[Logger]:
    return Logger
