"""Small files that must survive a power cut: replaced whole, or set aside when broken."""

from __future__ import annotations

import os
import secrets
from datetime import UTC, datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path


def replace_bytes(path: Path, content: bytes, *, make_folder: bool = True) -> None:
    """Write a file so that a reader finds the old content or the new one, never half of it.

    Raises
    ------
    OSError
        When the folder is missing or cannot be written; the old file is then untouched.
    """
    path = path.resolve()
    if make_folder:
        path.parent.mkdir(parents=True, exist_ok=True)
    fresh = path.with_name(f".{path.name}.{secrets.token_hex(4)}.new")
    try:
        with fresh.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(path)
    except BaseException:
        fresh.unlink(missing_ok=True)
        raise


def replace_text(path: Path, text: str, *, make_folder: bool = True) -> None:
    """Write a text file in UTF-8 as `replace_bytes` does.

    Raises
    ------
    OSError
        As in `replace_bytes`.
    """
    replace_bytes(path, text.encode(), make_folder=make_folder)


def set_aside(path: Path) -> Path:
    """Rename a file that cannot be read, keeping its content; the new path is returned.

    Raises
    ------
    OSError
        When it cannot be renamed.
    """
    stamp = datetime.now(UTC).strftime("%Y%m%d-%H%M%S-%f")
    return path.replace(path.with_name(f"{path.stem}-unreadable-{stamp}{path.suffix}"))
