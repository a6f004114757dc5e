"""A library on each of the two databases."""

from __future__ import annotations

from shutil import copy
from typing import TYPE_CHECKING
from uuid import uuid4

import pytest
from sqlalchemy import create_engine, text
from tests.postgres_server import postgres_server

from knowngood_refdata.models import Base
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from sqlalchemy import Engine


@pytest.fixture(scope="session")
def postgres() -> Iterator[str]:
    """Address of a real PostgreSQL server for the whole test session."""
    with postgres_server() as place:
        yield place


@pytest.fixture(scope="session")
def server(postgres: str) -> Iterator[Engine]:
    """Connections to the server itself."""
    engine = create_engine(postgres.replace("postgresql://", "postgresql+psycopg://"))
    yield engine
    engine.dispose()


@pytest.fixture(params=["sqlite", "postgresql"])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Address of an empty place for a library."""
    if request.param == "sqlite":
        yield str(tmp_path / "library.sqlite")
        return
    engine: Engine = request.getfixturevalue("server")
    name = f"library_{uuid4().hex}"
    with engine.begin() as connection:
        connection.execute(text(f"CREATE SCHEMA {name}"))
    yield _within(request.getfixturevalue("postgres"), name)
    with engine.begin() as connection:
        connection.execute(text(f"DROP SCHEMA {name} CASCADE"))


@pytest.fixture(scope="session")
def made_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty library to be copied: quicker than to make one for each test."""
    path = tmp_path_factory.mktemp("made") / "library.sqlite"
    Store.open(path).close()
    return path


@pytest.fixture(scope="session")
def made_schema(postgres: str, server: Engine) -> str:
    """Address of a library to be emptied: quicker than to make one for each test."""
    with server.begin() as connection:
        connection.execute(text("CREATE SCHEMA made"))
    address = _within(postgres, "made")
    Store.open(address).close()
    return address


@pytest.fixture(params=["sqlite", "postgresql"])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    """An empty library."""
    if request.param == "sqlite":
        opened = Store.open(copy(request.getfixturevalue("made_file"), tmp_path), user="Ada Fell")
    else:
        opened = Store.open(request.getfixturevalue("made_schema"), user="Ada Fell")
        with opened.engine.begin() as connection:
            tables = ", ".join(Base.metadata.tables)
            connection.execute(text(f"TRUNCATE {tables} RESTART IDENTITY CASCADE"))
    yield opened
    opened.close()


def _within(server: str, schema: str) -> str:
    return f"{server}&options=-csearch_path%3D{schema}"
