"""Changes are made for a reason and under a name; several that belong together are bound together."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import func, select

from knowngood_refdata import auditing
from knowngood_refdata.errors import UnfitValue
from knowngood_refdata.models import Audit

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from knowngood_refdata.store import Store


class WhyMissing(UnfitValue):
    """A record is changed only with a reason, and decided about only under a name."""


def need_reason(why: str) -> str:
    """The reason without blanks around it.

    Raises
    ------
    WhyMissing
        When there is none.
    """
    if not why.strip():
        raise WhyMissing("A record is changed only with a reason. Nothing was changed. Say why.")
    return why.strip()


def need_name(store: Store) -> str:
    """The name under which the library was opened.

    Raises
    ------
    WhyMissing
        When it was opened without one.
    """
    if not store.user.strip():
        raise WhyMissing(
            "This is decided only under a name. Nothing was changed. Enter your name in Settings."
        )
    return store.user


def bind_together(session: Session) -> int:
    """Bind what this session writes from now on together, so that it is undone as one; the number of it.

    Imports are bound by the number of the import; everything else gets one below zero.
    """
    lowest = session.scalar(select(func.min(Audit.batch_id))) or 0
    number = min(lowest, 0) - 1
    auditing.bind(session, number)
    return number
