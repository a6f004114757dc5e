"""Tables as documents, to be stored and exchanged."""

from __future__ import annotations

import copy
import json
from typing import TYPE_CHECKING, Any

import pytest

from knowngood_refdata.published.node import BadDocument
from knowngood_refdata.published.reading import from_document
from knowngood_refdata.published.writing import to_document

if TYPE_CHECKING:
    from knowngood_refdata.published.table import PerformanceTable

ALL = ("army", "two_inlets", "generic", "static_gate", "chart")


@pytest.mark.parametrize("name", ALL)
def test_a_table_stored_and_read_again_is_equal(name: str, request: pytest.FixtureRequest) -> None:
    table: PerformanceTable = request.getfixturevalue(name)
    assert from_document(json.loads(json.dumps(to_document(table)))) == table


def test_the_document_keeps_the_print_beside_the_si_value(army: PerformanceTable) -> None:
    document = to_document(army)
    cell = document["content"]["parts"][0]["cells"][0][0]
    assert cell["printed"] == "120-190"
    # One psi is 6,894.757 Pa (NIST SP 811, appendix B).
    assert cell["low"] == pytest.approx(120 * 6_894.757)
    assert document["content"]["version"] == 1
    assert document["setup"]["refrigerant"] == "R-134a"


def changed(table: PerformanceTable, path: tuple[str | int, ...], value: object) -> dict[str, Any]:
    document = copy.deepcopy(to_document(table))
    place: Any = document
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    return document


FIRST = ("content", "parts", 0)


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        (("content", "version"), 2, r"version 2 .* left as it is"),
        (("content", "version"), 0, "no version 0"),
        (("content", "version"), None, "'version' is missing"),
        (("content",), [], "named entries was expected"),
        (("content", "parts"), [], "empty"),
        (("content", "colour"), "red", "'colour' is not known here"),
        (("title",), 7, "the table, title: a text was expected"),
        (("generic",), "yes", "the table, generic: true or false"),
        (("circuit",), "middle", "'middle' is not known; known are front, rear"),
        (("setup", "doors"), "ajar", "setup, doors: 'ajar' is not known"),
        (("setup", "blower"), 3.0, "setup: a blower at 300 %"),
        ((*FIRST, "shape"), "spiral", "shape 'spiral'"),
        ((*FIRST, "columns", 0, "unit"), "°C", "columns, no. 1, unit: '°C' is no unit of pressure"),
        ((*FIRST, "columns", 0, "figure"), "noise", "'noise' is not known"),
        ((*FIRST, "cells", 1), [None], "cells, no. 2: 1 values for 2 columns"),
        ((*FIRST, "cells", 0, 0, "high"), 1.0, "cells, no. 1, no. 1: the range '120-190' runs downwards"),
        ((*FIRST, "cells", 0, 0, "low"), 800_000.0, "is not what its stored values say"),
        ((*FIRST, "cells", 0, 0, "low"), float("nan"), "a finite number was expected"),
        ((*FIRST, "cells", 0, 0, "low"), True, "a number was expected"),
        ((*FIRST, "axes", 0, "stops", 0), "21", "stops, no. 1: named entries was expected"),
        ((*FIRST, "axes", 0, "steps"), "bins", "axes, no. 1: '21' does not fit"),
    ],
)
def test_a_bad_document_is_refused_with_its_place(
    army: PerformanceTable, path: tuple[str | int, ...], value: object, words: str
) -> None:
    with pytest.raises(BadDocument, match=words):
        from_document(changed(army, path, value))


def test_a_point_of_a_line_needs_two_numbers(chart: PerformanceTable) -> None:
    document = changed(chart, (*FIRST, "bands", 0, "lower", 1), [300.0])
    with pytest.raises(BadDocument, match=r"lower, no\. 2: a point of a line has two numbers"):
        from_document(document)
