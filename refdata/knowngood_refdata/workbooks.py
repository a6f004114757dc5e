"""Workbooks (XLSX, XLS, ODS) opened within bounds."""

from __future__ import annotations

import io
from contextlib import contextmanager
from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_refdata.workbook_bounds import BeyondBounds, Bounds, refuse_beyond
from knowngood_refdata.workbook_old import refuse_old_beyond

if TYPE_CHECKING:
    from collections.abc import Iterator

    from python_calamine import CalamineWorkbook

__all__ = ["Bounds", "WorkbookFault", "WorkbookUnreadable", "is_workbook", "opened"]

PACKED = b"PK\x03\x04"
OLD = b"\xd0\xcf\x11\xe0"


class WorkbookFault(StrEnum):
    """What keeps a workbook from being read; a reader adds what to do about it."""

    TOO_LARGE = "too large"
    LOCKED = "locked"
    DAMAGED = "damaged"


class WorkbookUnreadable(ValueError):  # noqa: N818 - reads as what it is
    """A file is no workbook that can be read; the message says what was found, ``fault`` which case it is."""

    def __init__(self, fault: WorkbookFault, found: str) -> None:
        super().__init__(found)
        self.fault = fault


def is_workbook(head: bytes) -> bool:
    """Whether the first bytes of a file are those of a workbook, whatever its name."""
    if head.startswith(OLD):
        return True
    return head.startswith(PACKED) and (b"xl/" in head or b"opendocument.spreadsheet" in head)


@contextmanager
def opened(data: bytes, bounds: Bounds) -> Iterator[CalamineWorkbook]:
    """The workbook in the bytes of a file, closed at the end.

    Raises
    ------
    WorkbookUnreadable
        When it is none, is locked by a password, damaged, or beyond the bounds; also what its sheets
        raise while they are read.
    """
    from python_calamine import CalamineError, CalamineWorkbook, PasswordError

    try:
        if data.startswith(PACKED):
            refuse_beyond(data, bounds)
        elif data.startswith(OLD):
            refuse_old_beyond(data, bounds)
        with CalamineWorkbook.from_filelike(io.BytesIO(data)) as book:
            yield book
    except BeyondBounds as error:
        raise WorkbookUnreadable(WorkbookFault.TOO_LARGE, str(error)) from None
    except PasswordError:
        raise WorkbookUnreadable(WorkbookFault.LOCKED, "The workbook is locked by a password.") from None
    except CalamineError as error:
        raise WorkbookUnreadable(
            WorkbookFault.DAMAGED, f"The file cannot be read as a workbook ({error})."
        ) from None
    except BaseException as error:
        # The reader is compiled code: what it trips over arrives as an exception of no importable class.
        if type(error).__name__ != "PanicException":
            raise
        raise WorkbookUnreadable(WorkbookFault.DAMAGED, "The workbook is damaged.") from None
