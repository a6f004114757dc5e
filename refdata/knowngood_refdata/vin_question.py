"""The one question that settles best which of several configurations a car is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic

from knowngood_refdata.vin_evidence import in_years, range_words
from knowngood_refdata.vin_fitting import Grade, V, V_co
from knowngood_refdata.vin_months import MonthSpan, month_after, month_before

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from knowngood_refdata.vin_fitting import Fit
    from knowngood_refdata.vin_points import Configuration

    AnyFit = Fit[Configuration]

_NAMED = 6
"""More alternatives than this are not read."""


@dataclass(frozen=True, slots=True)
class Answer(Generic[V_co]):
    """One answer in words, with the fits that it leaves, in their order."""

    words: str
    left: tuple[Fit[V_co], ...]


@dataclass(frozen=True, slots=True)
class Question(Generic[V_co]):
    """A question for the technician; without answers it only says what to look for on the car."""

    words: str
    answers: tuple[Answer[V_co], ...] = ()


@dataclass(frozen=True, slots=True)
class _Question:
    """A question with its alternatives: for each, the places of the fits that would be left."""

    words: str
    left: dict[str, frozenset[int]]

    @property
    def expected_left(self) -> float:
        """How many fits the answer leaves on average, an answer counting as often as fits carry it."""
        sizes = [len(places) for places in self.left.values()]
        return sum(size * size for size in sizes) / sum(sizes)


def question_to_settle(fits: Sequence[Fit[Configuration]]) -> str:
    """The question of `settling_question` with its answers, in one sentence; empty when none is left."""
    question = settling_question(fits)
    if question is None or not question.answers:
        return "" if question is None else question.words
    return f"{question.words} {_either([one.words for one in question.answers])}?"


def settling_question(fits: Sequence[Fit[V]]) -> Question[V] | None:
    """The question whose answer leaves the fewest configurations, each answer with what it leaves.

    None when one certain fit, one possible fit, or none is left. Among questions that settle as much, the
    one that is quickest to answer at the car comes first. What is not on record of a configuration leaves
    it possible under every answer.
    """
    remaining = [fit for fit in fits if fit.grade is Grade.CERTAIN]
    remaining = remaining or [fit for fit in fits if fit.grade is Grade.POSSIBLE]
    if len(remaining) < 2:
        return None
    settling = [
        question
        for question in _questions(remaining)
        if len(set(question.left.values())) > 1 and question.expected_left < len(remaining)
    ]
    if not settling:
        return Question(
            f"The {len(remaining)} configurations left differ in nothing that can be asked for here. "
            "Which refrigerant and charge does the under-hood label print?"
        )
    best = min(settling, key=lambda question: round(question.expected_left, 6))
    return Question(
        best.words,
        tuple(
            Answer(words, tuple(remaining[place] for place in sorted(places)))
            for words, places in best.left.items()
        ),
    )


def _questions(fits: Sequence[AnyFit]) -> list[_Question]:
    """Every question that can be asked, the quickest to answer at the car first."""
    return [
        question
        for question in (
            _by_word("Which car is it:", fits, lambda vehicle: f"{vehicle.make} {vehicle.model}".strip()),
            _by_word("Which evaporators does it have:", fits, lambda vehicle: vehicle.evaporators),
            _by_word("Which engine does it have:", fits, lambda vehicle: vehicle.engine),
            _by_month("Which build month is on the door label:", fits),
            _by_word("Which market was it built for:", fits, lambda vehicle: vehicle.market),
            _by_year("Which model year is it:", fits),
        )
        if question.left
    ]


def _by_word(words: str, fits: Sequence[AnyFit], word: Callable[[Configuration], str]) -> _Question:
    told: dict[str, list[int]] = {}
    for place, fit in enumerate(fits):
        told.setdefault(word(fit.vehicle), []).append(place)
    untold = told.pop("", [])
    return _Question(words, {answer: frozenset([*told[answer], *untold]) for answer in sorted(told)})


def _by_month(words: str, fits: Sequence[AnyFit]) -> _Question:
    spans = [fit.months for fit in fits]
    pieces = {
        span: frozenset(place for place, other in enumerate(spans) if span.within(other))
        for span in _pieces(spans)
    }
    left = [(span, places) for span, places in pieces.items() if places]
    return _Question(words, {span.words: places for span, places in _open_ended(left)})


def _pieces(spans: Iterable[MonthSpan]) -> list[MonthSpan]:
    """The months cut wherever a span begins or ends, in order."""
    known = set(spans)
    starts = {span.first for span in known} | {month_after(span.last) for span in known if span.last}
    cuts = ["", *sorted(starts - {""})]
    return [
        MonthSpan(first, month_before(following) if following else "")
        for first, following in zip(cuts, [*cuts[1:], ""], strict=True)
    ]


def _open_ended(left: list[tuple[MonthSpan, frozenset[int]]]) -> list[tuple[MonthSpan, frozenset[int]]]:
    """The same with the outer ends left out, which no answer needs."""
    if len(left) < 2:
        return left
    (first, at_first), *between, (last, at_last) = left
    return [(MonthSpan("", first.last), at_first), *between, (MonthSpan(last.first, ""), at_last)]


def _by_year(words: str, fits: Sequence[AnyFit]) -> _Question:
    if not all(fit.years for fit in fits):
        return _Question(words, _by_year_range(fits))
    years = sorted({year for fit in fits for year in fit.years})
    return _Question(
        words,
        {
            str(year): frozenset(place for place, fit in enumerate(fits) if year in fit.years)
            for year in years
        },
    )


def _by_year_range(fits: Sequence[AnyFit]) -> dict[str, frozenset[int]]:
    vehicles = [fit.vehicle for fit in fits]
    after = {vehicle.year_to + 1 for vehicle in vehicles if vehicle.year_to is not None}
    cuts = sorted({vehicle.year_from for vehicle in vehicles} | after)
    left = {}
    for first, following in zip(cuts, [*cuts[1:], None], strict=True):
        places = frozenset(place for place, vehicle in enumerate(vehicles) if in_years(first, vehicle))
        if places:
            left[range_words(first, None if following is None else following - 1)] = places
    return left


def _either(alternatives: Sequence[str]) -> str:
    """The alternatives as a choice.

    >>> _either(["up to May 2022", "from June 2022"])
    'up to May 2022 or from June 2022'
    """
    if len(alternatives) > _NAMED:
        return f"{', '.join(alternatives[:_NAMED])} or one of {len(alternatives) - _NAMED} others"
    return f"{', '.join(alternatives[:-1])} or {alternatives[-1]}"
