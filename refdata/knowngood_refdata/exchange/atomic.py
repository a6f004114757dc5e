"""A file that stands under its name only once it is whole."""

from __future__ import annotations

import os
from contextlib import contextmanager
from typing import IO, TYPE_CHECKING
from uuid import uuid4

from knowngood_refdata.errors import StoreError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@contextmanager
def whole_file(path: Path) -> Iterator[IO[str]]:
    """Write a text file beside its place and move it there at the end; nothing of it stays after an error.

    Raises
    ------
    StoreError
        When the place cannot be written; what stood there still stands.
    """
    with _moved_there(path) as growing, growing.open("x", encoding="utf-8", newline="\n") as file:
        yield file
        _settle(file)


@contextmanager
def whole_bytes(path: Path) -> Iterator[IO[bytes]]:
    """Write a file of bytes as `whole_file` does one of text.

    Raises
    ------
    StoreError
        As `whole_file`.
    """
    with _moved_there(path) as growing, growing.open("xb") as file:
        yield file
        _settle(file)


def _settle(file: IO[str] | IO[bytes]) -> None:
    file.flush()
    os.fsync(file.fileno())


@contextmanager
def _moved_there(path: Path) -> Iterator[Path]:
    growing = path.with_name(f".{path.name}.{uuid4().hex}.part")
    try:
        try:
            yield growing
            growing.replace(path)
        finally:
            growing.unlink(missing_ok=True)
    except OSError as error:
        raise StoreError(
            f"The file {path} cannot be written: {error.strerror}. What stood there still stands. "
            "Choose another place, or free some space."
        ) from error
