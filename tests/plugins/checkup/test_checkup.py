"""The sentence that a customer reads, and the responses of a whole session."""

from __future__ import annotations

from dataclasses import replace

from knowngood_checkup.core.checkup import check
from knowngood_refdata.records import Estimate, Findings, Quantity

from .test_plane import HEALTHY, IDLE, RESPONSE, SUMMER, book, pressures


def window(subcooling: float, **changes: object) -> object:
    return replace(IDLE, values={Quantity.SUBCOOLING: Estimate(subcooling, 0.5)}, **changes)  # type: ignore[arg-type]


def test_a_session_without_steady_windows_says_so() -> None:
    assert "no steady window" in check(Findings(), SUMMER, book(HEALTHY)).outcome


def test_a_session_inside_everywhere_counts_what_was_compared() -> None:
    findings = Findings(windows=(window(10.0), window(10.0, fan_stage=2)))  # type: ignore[arg-type]
    outcome = check(findings, SUMMER, book(HEALTHY)).outcome
    assert outcome.startswith("All 1 compared values lie inside the range")
    assert "1 of 2 steady windows" in outcome


def test_a_value_outside_is_counted() -> None:
    findings = Findings(windows=(window(1.0), window(10.0)))  # type: ignore[arg-type]
    assert check(findings, SUMMER, book(HEALTHY)).outcome.startswith("1 of 2 compared values lie outside")


def test_an_incomparable_session_gives_the_reason_in_its_sentence() -> None:
    findings = Findings(windows=(window(10.0, fan_stage=3),))  # type: ignore[arg-type]
    outcome = check(findings, SUMMER, book(HEALTHY)).outcome
    assert outcome.startswith("Nothing could be compared")
    assert "fan stage 3 here, stage 1 there" in outcome


def test_the_cloud_of_a_response_holds_the_cars_that_have_both_speeds() -> None:
    readings = [
        pressures(rpm, low + car * 1e3, high - car * 2e3, car, day=car)
        for car in range(6)
        for rpm, low, high in ((750.0, 3e5, 10e5), (2000.0, 2.6e5 + car * 3e3, 12e5 + (car % 3) * 9e3))
    ]
    findings = Findings(windows=(IDLE,), responses=(RESPONSE,))
    (response,) = check(findings, SUMMER, readings).responses
    assert len(response.known_good) == 6
    assert response.inner is not None
    assert response.outer is not None
    assert response.outer.half_major_pa > response.inner.half_major_pa


def test_a_value_out_by_less_than_its_uncertainty_is_not_counted_as_inside() -> None:
    findings = Findings(windows=(window(10.0), window(12.5)))  # type: ignore[arg-type]
    outcome = check(findings, SUMMER, book(HEALTHY)).outcome
    assert outcome.startswith("1 of 2 lie outside by less than their uncertainty")
