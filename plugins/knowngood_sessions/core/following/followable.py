"""Which files can be read while they grow: those whose lines mean the same whatever comes behind them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_sessions.core.reading.choosing import BUILT_IN
from knowngood_sessions.core.reading.packed import HEAD_BYTES, is_packed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_sessions.core.reading.choosing import Reader

LARGEST_BYTES = 100_000_000
"""A log is followed up to here: two million rows of eight channels take less than 1 GB of memory."""

_INSTEAD = "Import it once the logger has finished it."


def why_not_followed(data: bytes, name: str, readers: Sequence[Reader] = ()) -> str:
    """Why a file that begins like this cannot be followed, in words; empty when it can.

    Parameters
    ----------
    readers
        Those that an import would ask; only what the reader of text tables would read can be followed.
    """
    head, text = data[:HEAD_BYTES], BUILT_IN[-1].name
    claiming = [one for one in readers or BUILT_IN if one.claims(head, name)]
    first = min(claiming, key=lambda one: one.general, default=None)
    if first is not None and first.name != text:
        return (
            f"{name} is a log of the format '{first.name}', which is read as a whole and cannot be followed. "
            f"{_INSTEAD}"
        )
    if len(data) > LARGEST_BYTES:
        return (
            f"{name} has {len(data) / 1e6:,.0f} MB already; logs up to {LARGEST_BYTES / 1e6:,.0f} MB are "
            f"followed. {_INSTEAD}"
        )
    if is_packed(data):
        return f"{name} is packed and cannot be followed. {_INSTEAD}"
    return ""
