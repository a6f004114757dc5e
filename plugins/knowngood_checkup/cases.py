"""The shop's confirmed cases, from which the signatures of faults are learnt."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_checkup.core.deviations import observed_of
from knowngood_checkup.core.explain.brought import added
from knowngood_checkup.core.explain.known import KNOWN, Known
from knowngood_checkup.core.explain.learned import Confirmed, learned
from knowngood_refdata.errors import NotFound
from knowngood_refdata.expected.comparison import compare_window
from knowngood_refdata.queries import checkups, sessions, vehicles

if TYPE_CHECKING:
    from collections.abc import Iterable

    from knowngood_checkup.core.explain.evidence import Observed
    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.explaining import Explanation
    from knowngood_refdata.records import CaseFound
    from knowngood_refdata.store import Store

MOST = 60
"""So many of the latest cases are learnt from: each has to be compared with the book as it stands."""


def known_of(
    store: Store, book: Book, without: int | None = None, brought: Iterable[Explanation] = ()
) -> Known:
    """What this library's confirmed cases taught of faults; a session never teaches about itself."""
    cases = [one for one in checkups.cases(store) if one.session_id != without][-MOST:]
    start = added(KNOWN, brought)
    confirmed = [_confirmed(store, book, one) for one in cases]
    kept = [one for one in confirmed if one is not None]
    return learned(kept, start) if kept else start


def _confirmed(store: Store, book: Book, case: CaseFound) -> Confirmed | None:
    try:
        seen = _observed(store, book, case.session_id)
    except NotFound:
        return None
    return Confirmed(case.explanation, seen) if seen is not None and seen.windows else None


def _observed(store: Store, book: Book, session_id: int) -> Observed | None:
    info = sessions.info(store, session_id)
    if info.vehicle_id is None:
        return None
    vehicle = vehicles.vehicle(store, info.vehicle_id)
    windows = [
        compare_window(book, vehicle, info.unit_id, info.conditions, one)
        for one in sessions.findings(store, session_id).windows
    ]
    return observed_of(book, vehicle, info.unit_id, info.conditions, windows, {})
