"""The values of a record side by side: what differs comes first, and who made one of them count."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from knowngood_refdata.records import SourceKind, SpecDecided, SpecValue, Vehicle
from knowngood_specs.core.sides import sides_of
from knowngood_specs.words import sides_sentence

LABEL, BOOK = SourceKind.UNDER_HOOD_LABEL, SourceKind.SERVICE_INFORMATION
ON_LABEL = SpecValue(1, "charge", 0.47, None, "470 g", LABEL, "photo 4")
IN_BOOK = SpecValue(2, "charge", 0.5, None, "500 g", BOOK, "section 82")
GAS = (
    SpecValue(3, "refrigerant", None, None, "R-1234yf", LABEL, "photo 4"),
    SpecValue(4, "refrigerant", None, None, "R-1234yf", BOOK, "section 82"),
)
BELT = SpecValue(5, "belt", None, None, "6PK", BOOK, "section 10")
OIL = SpecValue(6, "oil", None, None, "PAG 46", BOOK, "section 82")
SKERRY = Vehicle(
    1, "Tarn", "Skerry", "", 2021, None,
    specs={"belt": (BELT,), "oil": (OIL,), "refrigerant": GAS, "charge": (ON_LABEL, IN_BOOK)},
)  # fmt: skip


def test_what_differs_comes_first_and_what_one_source_tells_last() -> None:
    told = [(one.field.name, one.differ, one.alone) for one in sides_of(SKERRY)]
    assert told == [
        ("charge", True, False),
        ("refrigerant", False, False),
        ("oil", False, True),
        ("belt", False, True),
    ]


def test_sources_that_agree_are_counted() -> None:
    (gas,) = [one for one in sides_of(SKERRY) if one.field.name == "refrigerant"]
    assert sides_sentence(gas) == "2 sources agree"


def test_without_a_decision_the_label_comes_first() -> None:
    charge = sides_of(SKERRY)[0]
    assert sides_sentence(charge).endswith("they differ; the label on the car comes first.")


def test_a_decision_is_told_in_place_of_the_rule() -> None:
    decided = SpecDecided("charge", 2, "label of another car", "Bo Moss", datetime(2026, 3, 4, tzinfo=UTC))
    vehicle = replace(SKERRY, specs={"charge": (IN_BOOK, ON_LABEL)}, decided={"charge": decided})
    assert sides_sentence(sides_of(vehicle)[0]) == (
        "book 500 g · label 470 g: they differ; Bo Moss decided for 500 g: label of another car."
    )
