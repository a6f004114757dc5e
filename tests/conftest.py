"""What every test gets: a data folder of its own, no screen, and a look for what it left behind."""

from __future__ import annotations

import os
import sys
import threading
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


def pytest_configure(config: pytest.Config) -> None:
    """Let pass the one warning that Qt's platform without a screen gives for every sized window."""
    config.addinivalue_line("qt_log_ignore", "does not support propagateSizeHints")


@pytest.fixture(autouse=True)
def data_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder that no other test and no user sees; it does not exist yet."""
    folder = tmp_path / "user data"
    monkeypatch.setenv("KNOWNGOOD_DATA", str(folder))
    monkeypatch.delenv("KNOWNGOOD_LIBRARY", raising=False)
    return folder


@pytest.fixture(autouse=True)
def _nothing_left_behind() -> Iterator[None]:
    """Fail a test that leaves a thread running or a hook of the interpreter replaced."""
    hooks = sys.excepthook, threading.excepthook
    before = set(threading.enumerate())
    yield
    left = [one.name for one in threading.enumerate() if one not in before and not one.daemon]
    assert not left, f"threads left running: {left}"
    assert (sys.excepthook, threading.excepthook) == hooks, "an exception hook was left replaced"
