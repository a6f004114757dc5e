"""The shop's confirmed cases, from which it is learnt how faults show."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from knowngood_checkup.core.deviations import car_kind, observed_of, octaves_above_idle
from knowngood_checkup.core.explain.brought import added
from knowngood_checkup.core.explain.known import KNOWN, Known
from knowngood_checkup.core.explain.learned import Confirmed, learned
from knowngood_refdata.errors import NotFound
from knowngood_refdata.expected.comparison import compare_window
from knowngood_refdata.queries import checkups, sessions, vehicles
from knowngood_refdata.queries.known_book import known_book

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from knowngood_checkup.core.explain.evidence import CarKind, Observed
    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.explaining import Explanation
    from knowngood_refdata.records import CaseFound, Findings, SessionInfo, SteadyWindow, Vehicle
    from knowngood_refdata.store import Store

MOST = 200
"""So many of the latest cases are learnt from."""
SPEEDS = 3
"""Of each case so many windows count, one an engine speed: more of one speed say the same again."""
_SAME_SPEED = 0.25


@dataclass(frozen=True, slots=True)
class _Seen:
    """A case compared with a book, and everything that the comparison rests on."""

    book: Book
    info: SessionInfo
    vehicle: Vehicle
    findings: Findings
    observed: Observed

    def holds(self, book: Book, info: SessionInfo, vehicle: Vehicle, findings: Findings) -> bool:
        """Whether the comparison still is what it would be."""
        same = self.book is book and self.info == info
        return same and self.vehicle == vehicle and self.findings == findings


_SEEN: WeakKeyDictionary[Store, dict[int, _Seen]] = WeakKeyDictionary()


def known_of(store: Store, without: int | None = None, brought: Iterable[Explanation] = ()) -> Known:
    """What this library's confirmed cases taught of faults; a session never teaches about itself.

    Comparing a case with the book takes some hundredths of a second. What was compared is kept until book,
    record or findings change.
    """
    cases = [one for one in checkups.cases(store) if one.session_id != without][-MOST:]
    start = added(KNOWN, brought)
    if not cases:
        return start
    book, seen = known_book(store), _SEEN.setdefault(store, {})
    confirmed = [_confirmed(store, book, one, seen) for one in cases]
    kept = [one for one in confirmed if one is not None]
    return learned(kept, start) if kept else start


def _confirmed(store: Store, book: Book, case: CaseFound, seen: dict[int, _Seen]) -> Confirmed | None:
    try:
        info = sessions.info(store, case.session_id)
        if info.vehicle_id is None:
            return None
        vehicle = vehicles.vehicle(store, info.vehicle_id)
        findings = sessions.findings(store, case.session_id)
    except NotFound:
        return None
    known = seen.get(case.session_id)
    if known is None or not known.holds(book, info, vehicle, findings):
        known = _Seen(book, info, vehicle, findings, _observed(book, info, vehicle, findings))
        seen[case.session_id] = known
    return Confirmed(case.explanation, known.observed) if known.observed.windows else None


def _observed(book: Book, info: SessionInfo, vehicle: Vehicle, findings: Findings) -> Observed:
    windows = [
        compare_window(book, vehicle, info.unit_id, info.conditions, one, ticks=False)
        for one in one_a_speed(findings.windows, car_kind(vehicle))
    ]
    return observed_of(book, vehicle, info.unit_id, info.conditions, windows, {})


def one_a_speed(windows: Sequence[SteadyWindow], car: CarKind) -> list[SteadyWindow]:
    """The longest window of each engine speed, the slowest speeds first, `SPEEDS` at most."""
    kept: list[tuple[float, SteadyWindow]] = []
    for one in sorted(windows, key=lambda window: window.start_s - window.end_s):
        octaves = octaves_above_idle(one.engine_rpm, car)
        if all(abs(octaves - other) >= _SAME_SPEED for other, _ in kept):
            kept.append((octaves, one))
    return [one for _, one in sorted(kept, key=lambda pair: pair[0])][:SPEEDS]
