"""An empty library, made once and copied for each test, and places on each of the two databases."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest
from tests.refdata.conftest import address, postgres, server

from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["address", "postgres", "server"]


@pytest.fixture(scope="session")
def _empty_library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("library") / "empty.sqlite"
    Store.open(path).close()
    return path


@pytest.fixture
def library_file(_empty_library: Path, tmp_path: Path) -> Path:
    """A library of the newest schema that holds nothing."""
    path = tmp_path / "library.sqlite"
    shutil.copy(_empty_library, path)
    return path
