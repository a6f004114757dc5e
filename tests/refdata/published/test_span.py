"""Printed numbers and ranges."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.published.span import Span, agrees, comma_is_decimal, is_blank, read_span
from knowngood_refdata.published.terms import BadTable
from knowngood_refdata.quantities import Kind, unit

KPA = unit("kPa", Kind.PRESSURE)
CELSIUS = unit("°C", Kind.TEMPERATURE)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("120-190", 120, 190),
        ("1,204-1,471", 1204, 1471),
        ("1,204–1,471", 1204, 1471),
        ("1 204 - 1 471", 1204, 1471),
        ("120 to 190", 120, 190),
        ("120...190", 120, 190),
        ("165 ± 25", 140, 190),
        ("1.5-3.3", 1.5, 3.3),
        ("1,5-3,3", 1.5, 3.3),
        ("200", 200, 200),
        ("max 12", None, 12),
        ("≤12", None, 12),
        ("12 max.", None, 12),
        ("min. 345", 345, None),
        (">345", 345, None),
        ("500 vacuum", -500, -500),
        ("300-500 vac", -500, -300),
    ],
)
def test_a_printed_pressure_is_read_as_it_is_meant(text: str, low: float | None, high: float | None) -> None:
    span = read_span(text, unit("Pa", Kind.PRESSURE)) if "vac" in text else read_span(text, KPA)
    scale = 1.0 if "vac" in text else 1e3
    assert (span.low, span.high) == (
        pytest.approx(low * scale) if low is not None else None,
        pytest.approx(high * scale) if high is not None else None,
    )
    assert span.printed == text


@pytest.mark.parametrize(
    ("text", "low", "high"), [("-5-10", -5, 10), ("−5 to −2", -5, -2), ("-5 – 0", -5, 0)]
)
def test_a_minus_sign_is_told_from_a_dash(text: str, low: float, high: float) -> None:
    span = read_span(text, CELSIUS)
    assert (span.low, span.high) == pytest.approx((low + 273.15, high + 273.15))


@pytest.mark.parametrize("text", ["", "abc", "12-", "1-2-3", "12 bar", "1,2,3-4", "0x10", "nan", "١٢-"])
def test_what_is_no_range_is_refused_in_words(text: str) -> None:
    with pytest.raises(BadTable, match="is no number"):
        read_span(text, KPA)


def test_a_range_that_runs_downwards_is_refused() -> None:
    with pytest.raises(BadTable, match="runs downwards"):
        read_span("190-120", KPA)


def test_the_comma_follows_what_the_rest_of_the_table_shows() -> None:
    assert comma_is_decimal(["1,204-1,471", "13,5"]) is True
    assert comma_is_decimal(["1,204-1,471", "171.5"]) is False
    assert comma_is_decimal(["1,204-1,471", "171"]) is None
    assert read_span("1,204-1,471", KPA, decimal_comma=True).low == pytest.approx(1204.0)


@pytest.mark.parametrize("text", ["", " ", "-", "–", "—", "n/a"])
def test_a_dash_alone_is_an_empty_cell(text: str) -> None:
    assert is_blank(text)


def test_only_a_strict_sign_leaves_its_edge_out() -> None:
    assert read_span("> 16", CELSIUS).strict
    assert not read_span("≥ 16", CELSIUS).strict
    assert not read_span("16 and above", CELSIUS).strict


def test_a_stored_value_at_odds_with_its_print_is_noticed() -> None:
    span = read_span("120-190", KPA)
    assert agrees(span, KPA)
    assert not agrees(Span(span.printed, span.low, 195e3), KPA)
    assert not agrees(span, unit("psi", Kind.PRESSURE))


@given(
    st.floats(-90, 15_000).map(lambda value: round(value, 2)),
    st.floats(0, 5_000).map(lambda value: round(value, 2)),
)
def test_any_range_is_read_back_to_its_edges(low: float, width: float) -> None:
    high = round(low + width, 2)
    for text in (f"{low}-{high}", f"{low:,.2f} – {high:,.2f}", f"{low} to {high}"):
        span = read_span(text, KPA)
        assert (span.low, span.high) == pytest.approx((low * 1e3, high * 1e3))


@given(st.text(max_size=20))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    try:
        span = read_span(text, KPA)
    except BadTable as bad:
        assert str(bad)  # noqa: PT017 - any other error is the failure looked for
    else:
        assert span.edges
