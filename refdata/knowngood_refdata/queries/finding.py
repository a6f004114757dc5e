"""Find vehicles by parts of words, quickly in a library of any size.

What hits often is found within the first stretch of the list. What does not is looked up in the index of
every three letters, and what that hits is sorted. Only words that are common one by one but seldom together
take a walk through the whole list.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import ARRAY, Text, and_, column, func, literal, not_, or_, select, table, text

from knowngood_refdata.models import Configuration
from knowngood_refdata.queries import filters as narrowing
from knowngood_refdata.queries.among import among
from knowngood_refdata.queries.filters import ALL, Filters
from knowngood_refdata.queries.vehicle_lines import VehicleLine, lines
from knowngood_refdata.queries.vehicle_words import LAST, folded

if TYPE_CHECKING:
    from sqlalchemy import ColumnElement, Select
    from sqlalchemy.orm import Session

    from knowngood_refdata.store import Store

__all__ = ["ALL", "Filters", "Found", "VehicleLine", "find", "ids"]

_FIRST_OF_LAST_CENTURY = 50
_MOST_WORDS, _LONGEST = 30, 500
"""No vehicle is described by more; the databases have limits of their own beyond."""
_GRAM, _LONG = 3, 9
_STRETCH = 300
"""How much of the list is looked through before anything else."""
_FEW = 2500
"""Up to so many hits sorting them is quicker than going through the list."""

_Rows = list[int]


@dataclass(frozen=True, slots=True)
class Found:
    """The first lines of what was found, and whether there are more."""

    lines: tuple[VehicleLine, ...]
    more: bool


def find(store: Store, words: str = "", *, filters: Filters = ALL, limit: int = 100) -> Found:
    """Vehicles that hold every word in year, make, model, engine, refrigerant, fleet number or VIN.

    Any part of a word will do. A year is found within the range of years, in four digits or two:
    ``21 skerry 1.6``. Vehicles whose make begins with the first word come first, else the order is make,
    model, year.
    """
    with store.reading() as session:
        found = ids(session, words, filters=filters, limit=limit + 1)
        return Found(lines(session, found[:limit]), more=len(found) > limit)


def ids(session: Session, words: str, *, filters: Filters = ALL, limit: int) -> list[int]:
    """Numbers of the vehicles found, in the order of the list."""
    typed = folded(words).split()
    if len(typed) > _MOST_WORDS or len(words) > _LONGEST:
        return []
    search = _Search(session, typed, filters, limit)
    found = search.stretch()
    if found is None:
        found = search.sorted_hits()
    return search.walk() if found is None else found


@dataclass(frozen=True, slots=True)
class _Part:
    """A part of the list: what holds in it, where it begins, and its last sort key.

    SQLite looks at one upper bound only, so that it must be the nearest.
    """

    holds: list[ColumnElement[bool]]
    begins: list[ColumnElement[bool]]
    end: str


class _Search:
    """One search within one transaction, in three ways, each of which says None when it is not the one."""

    def __init__(self, session: Session, typed: list[str], filters: Filters, limit: int) -> None:
        self._session = session
        self._limit = limit
        self._on_file = session.get_bind().dialect.name == "sqlite"
        self._meets = and_(
            Configuration.deleted_at.is_(None),
            *(_holds(word, on_file=self._on_file) for word in typed),
            *narrowing.conditions(filters),
        )
        self._first = first = next((word for word in typed if _year(word) is None), None)
        self._begins: ColumnElement[bool] | None = None
        if first is not None:
            key = Configuration.sort_key
            self._begins = and_(key >= first, key < first + LAST)
        wanted = [folded(one) for _, one in narrowing.spec_texts(filters)]
        phrases = [word for word in typed if _year(word) is None] + wanted
        self._grams = list(dict.fromkeys(gram for one in phrases for gram in _grams(one)))

    def stretch(self) -> _Rows | None:
        """The first stretch of the list, and of its part that begins with the first word, when enough."""
        found: _Rows = []
        key = Configuration.sort_key
        for part in self._parts():
            edge = select(key).where(*part.holds).order_by(key, Configuration.id).offset(_STRETCH).limit(1)
            near = key <= func.coalesce(edge.scalar_subquery(), part.end)
            query = self._listed().where(self._meets, near, *part.begins)
            query = query.limit(self._limit - len(found))
            found += self._session.scalars(query)
            if len(found) == self._limit:
                return found
        return None

    def sorted_hits(self) -> _Rows | None:
        """Everything that the index of three letters hits, sorted, when that is not too much."""
        if not self._grams:
            return None
        return self._sorted_on_file() if self._on_file else self._sorted_on_server()

    def walk(self) -> _Rows:
        """The whole list from its beginning until enough is found."""
        found: _Rows = []
        for part in self._parts():
            query = self._listed().where(self._meets, *part.holds).limit(self._limit - len(found))
            found += self._session.scalars(query)
            if len(found) == self._limit:
                break
        return found

    def _parts(self) -> list[_Part]:
        if self._begins is None or self._first is None:
            return [_Part([], [], LAST)]
        own = _Part([self._begins], [Configuration.sort_key >= self._first], self._first + LAST)
        rest = [not_(self._begins)]
        return [own, _Part(rest, rest, LAST)]

    def _listed(self) -> Select[int]:
        return select(Configuration.id).order_by(Configuration.sort_key, Configuration.id)

    def _order(self) -> list[Any]:
        first = [] if self._begins is None else [not_(self._begins)]
        return [*first, Configuration.sort_key, Configuration.id]

    def _sorted_on_file(self) -> _Rows | None:
        # The index is asked once, as it is slow to ask.
        grams = table("configuration_grams", column("rowid"), column("configuration_grams"))
        quoted = " AND ".join('"' + one.replace('"', '""') + '"' for one in self._grams)
        matching = select(grams.c.rowid).where(grams.c.configuration_grams.op("MATCH")(quoted))
        hits = list(self._session.scalars(matching.limit(_FEW + 1)))
        if len(hits) > _FEW:
            return None
        query = select(Configuration.id).where(among(self._session, Configuration.id, hits), self._meets)
        return list(self._session.scalars(query.order_by(*self._order()).limit(self._limit)))

    def _sorted_on_server(self) -> _Rows | None:
        # The planner takes a look at every row for cheaper, which it would have to take letter by letter.
        self._session.execute(text("SET LOCAL enable_seqscan = off"))
        held = func.knowngood_grams(Configuration.search_text)
        hits = held.op("@>")(literal(self._grams, ARRAY(Text)))
        some = select(Configuration.id).where(hits).limit(_FEW + 1).cte("some")
        # How many there are and the sorted ones in one answer: asking twice takes as long as looking.
        count = select(func.count()).select_from(some).scalar_subquery()
        found = (
            select(Configuration.id)
            .where(Configuration.id.in_(select(some.c.id)), self._meets, count <= _FEW)
            .order_by(*self._order())
            .limit(self._limit)
        )
        number, rows = self._session.execute(select(count, func.array(found.scalar_subquery()))).one()
        return None if number > _FEW else list(rows)


def _grams(phrase: str) -> list[str]:
    """Three letters at every place of a phrase, at every second of a long one: enough to look it up by.

    >>> _grams("skerry")
    ['ske', 'ker', 'err', 'rry']
    >>> _grams("tarselgill")
    ['tar', 'rse', 'elg', 'gil', 'ill']
    """
    if len(phrase) < _GRAM:
        return []
    step = 1 if len(phrase) < _LONG else 2
    starts = [*range(0, len(phrase) - _GRAM, step), len(phrase) - _GRAM]
    return [phrase[start : start + _GRAM] for start in starts]


def _holds(word: str, *, on_file: bool) -> ColumnElement[bool]:
    place = func.instr if on_file else func.strpos
    written = place(Configuration.search_text, word) > 0
    year = _year(word)
    return written if year is None else or_(written, narrowing.within_years(year))


def _year(word: str) -> int | None:
    """The year a word of four digits or two stands for; two lie within this century or late in the last."""
    if not (word.isascii() and word.isdigit() and len(word) in (2, 4)):
        return None
    year = int(word)
    if len(word) == 4:
        return year
    return year + (2000 if year < _FIRST_OF_LAST_CENTURY else 1900)
