"""When, and by whom, the meaning of a log's columns was confirmed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from knowngood_refdata.models import ImportMapping

if TYPE_CHECKING:
    from datetime import datetime

    from knowngood_refdata.store import Store


@dataclass(frozen=True, slots=True)
class Confirmed:
    """When a mapping became what it is, and who confirmed it."""

    at: datetime
    by: str


def confirmed(store: Store, signature: str) -> Confirmed | None:
    """When the mapping for logs with this header was last confirmed as it stands, None when never."""
    query = select(ImportMapping.changed_at, ImportMapping.changed_by).where(
        ImportMapping.signature == signature
    )
    with store.reading() as session:
        row = session.execute(query).first()
        return None if row is None else Confirmed(row.changed_at, row.changed_by)
