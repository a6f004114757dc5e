"""Readings bend with the conditions where all cars do, and cars draw apart under load where they do."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.refdata.expected.fleet import reading, vehicle
from tests.refdata.expected.shop import CONDITIONS, USUAL, K, four_families, subject
from tests.refdata.expected.trees import random_case

from knowngood_refdata.expected.book import Book
from knowngood_refdata.expected.model.bends import Bends, renewed
from knowngood_refdata.expected.model.passes import run
from knowngood_refdata.expected.model.spread import Prior
from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import Estimate, Quantity

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from knowngood_refdata.expected.forecasts import Subject
    from knowngood_refdata.expected.interval import Interval
    from knowngood_refdata.expected.model.passes import Stand
    from knowngood_refdata.expected.model.settling import Problem
    from knowngood_refdata.records import Conditions, Reading, Vehicle

    Floats = NDArray[np.float64]

WHAT = Quantity.CONDENSING_ABOVE_AMBIENT
MIDDLE_C = 29.0


def at_ambient(celsius: float) -> Conditions:
    ambient_k = celsius + ZERO_CELSIUS_K
    return replace(CONDITIONS, ambient_k=ambient_k, intake_k=ambient_k - 4.0)


def book_of(vehicles: Sequence[Vehicle], shown: Callable[[Vehicle, float], float], each: int = 6) -> Book:
    """For each vehicle readings of one car, a visit each, at ambients from 20 to 38 °C."""
    rng = np.random.default_rng(8)
    found: list[Reading] = []
    for of in vehicles:
        for celsius in rng.uniform(20.0, 38.0, each):
            number = len(found) + 1
            values = {q: Estimate(v + rng.normal(0.0, 0.4), 0.4) for q, v in USUAL.items()}
            values[WHAT] = Estimate(shown(of, celsius) + rng.normal(0.0, 0.4), 0.4)
            found.append(reading(number, of, of.id, number, at_ambient(celsius), 800.0, values, 1))
    return Book.of(found, vehicles)


def one_more(like: Vehicle) -> Vehicle:
    return replace(like, id=9_999)


def middle(book: Book, about: Subject) -> float:
    centre = book.forecast(about, WHAT).centre
    assert centre is not None
    return centre


def outer(book: Book, about: Subject) -> Interval:
    interval = book.forecast(about, WHAT).outer
    assert interval is not None
    return interval


def curve(celsius: float) -> float:
    return 16.0 + 0.08 * (celsius - MIDDLE_C) ** 2


@pytest.mark.parametrize("celsius", [21.0, MIDDLE_C, 37.0])
def test_a_curve_that_all_cars_follow_is_expected_of_the_next(celsius: float) -> None:
    # The best straight line is 2 K off in the middle and at both ends.
    vehicles = four_families(6)
    book = book_of(vehicles, lambda _, t: curve(t))
    assert middle(book, subject(one_more(vehicles[0]), None, at_ambient(celsius))) == pytest.approx(
        curve(celsius), abs=0.6
    )


@pytest.mark.parametrize("celsius", [21.0, MIDDLE_C, 37.0])
def test_cars_that_answer_straight_are_expected_straight(celsius: float) -> None:
    vehicles = four_families(6)
    book = book_of(vehicles, lambda _, t: 16.0 + 0.3 * (t - MIDDLE_C))
    assert middle(book, subject(one_more(vehicles[0]), None, at_ambient(celsius))) == pytest.approx(
        16.0 + 0.3 * (celsius - MIDDLE_C), abs=0.3
    )


@pytest.mark.parametrize("celsius", [21.0, MIDDLE_C, 37.0])
def test_a_curve_of_one_kind_of_compressor_is_that_kinds_alone(celsius: float) -> None:
    kinds = (K.FIXED, K.EXTERNAL_VARIABLE)
    vehicles = [
        vehicle(10 * f + i + 1, ("Tarn", "Fen", "Moor")[f % 3], f + 1, kinds[f % 2])
        for f in range(6)
        for i in range(5)
    ]
    fixed, variable = vehicles[0], vehicles[5]
    bent = {one.id for one in vehicles if one.spec("compressor") == fixed.spec("compressor")}
    book = book_of(vehicles, lambda of, t: curve(t) if of.id in bent else 16.0)
    for like, expected in ((fixed, curve(celsius)), (variable, 16.0)):
        about = subject(one_more(like), None, at_ambient(celsius))
        assert middle(book, about) == pytest.approx(expected, abs=0.8)


def how_much_wider(shown: Callable[[float, float], float]) -> float:
    """The range of one more configuration in heat against that in the cold."""
    vehicles = four_families(12)
    share = np.random.default_rng(4).normal(0.0, 0.15, len(vehicles) + 1)
    book = book_of(vehicles, lambda of, t: shown(float(share[of.id]), t))
    hot, cold = (outer(book, subject(one_more(vehicles[0]), None, at_ambient(t))) for t in (37.0, 21.0))
    return (hot.high - hot.low) / (cold.high - cold.low)


def test_cars_that_differ_by_a_share_are_expected_further_apart_under_load() -> None:
    # At 37 °C they show twice what they do at 21 °C, and differ by twice as much; scatter stays the same.
    wider = how_much_wider(lambda share, t: (16.0 + 0.66 * (t - MIDDLE_C)) * (1.0 + share))
    assert 1.35 < wider < 2.1


def test_cars_that_differ_by_so_many_kelvins_are_expected_as_far_apart_under_load() -> None:
    wider = how_much_wider(lambda share, t: 16.0 + 0.66 * (t - MIDDLE_C) + 16.0 * share)
    assert wider == pytest.approx(1.0, abs=0.12)


def dense_bends(case: Problem, stand: Stand, bends: Bends, rest: Floats) -> tuple[Floats, Floats]:
    """Posterior of the coefficients of each kind (kinds p,) by plain linear algebra."""
    nesting, kind, (p, n) = case.design.nesting, case.groups["reading"], case.terms.shape
    of_visit = np.eye(nesting.visit.count)[nesting.visit.of]
    of_unit = np.eye(nesting.unit.count)[nesting.unit.of[nesting.visit.of]]
    within = (
        np.diag(stand.reading.variance)
        + of_visit * stand.visit.variance @ of_visit.T
        + of_unit * stand.unit.variance @ of_unit.T
    )
    kinds = len(bends.mean)
    z = (np.eye(kinds)[kind][:, :, None] * case.terms.T[:, None, :]).reshape(n, kinds * p)
    prior = np.kron(bends.shared + bends.own * np.eye(kinds), np.eye(p))
    gain = prior @ z.T @ np.linalg.inv(z @ prior @ z.T + within)
    return gain @ rest, np.asarray(prior - gain @ z @ prior, dtype=np.float64)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000))
def test_bends_and_their_uncertainty_are_those_of_the_whole_matrix(seed: int) -> None:
    plain, stand = random_case(seed)
    rng = np.random.default_rng(seed)
    family = plain.design.nesting.family
    kind = rng.integers(0, 2, family.count)[family.of][plain.design.nesting.configuration.of]
    by_visit = kind[plain.design.nesting.unit.of]
    groups = {"unit": kind, "visit": by_visit, "reading": by_visit[plain.design.nesting.visit.of]}
    terms = rng.normal(0.0, 1.0, (3, len(plain.measured)))
    case = replace(plain, groups=groups, terms=terms)
    before = Bends(np.zeros((2, 3)), np.zeros((2, 3, 3)), 0.7, 0.4)
    passed = run(case.design, stand)
    found = renewed(before, Prior(0.5, 1.0), case, stand, passed)
    unit = case.design.nesting.unit.of[case.design.nesting.visit.of]
    of = case.design.nesting.configuration.of[unit]
    centre = stand.reading.centre + stand.visit.centre[case.design.nesting.visit.of] + stand.unit.centre[unit]
    rest = case.measured - centre - (case.design.x * passed.configuration.mean[:, of]).sum(axis=0)
    mean, cov = dense_bends(case, stand, before, rest)
    assert found.mean.ravel() == pytest.approx(mean, abs=1e-8)
    assert found.cov[0] == pytest.approx(cov[:3, :3], abs=1e-8)
    assert found.cov[1] == pytest.approx(cov[3:, 3:], abs=1e-8)
