"""Quantities of a row: from the printed text, or from number, tolerance and unit in cells of their own."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.quantities import Kind
from knowngood_specs.core.fields import CHARGE, CHARGE_REAR
from knowngood_specs.core.form import HEAVIEST_KG, LIGHTEST_KG, volume_in

if TYPE_CHECKING:
    from knowngood_specs.core.fields import Field

ReadQuantity = Callable[[str, Kind], tuple[float, float | None]]
"""Reads a text with its unit into SI value and tolerance; raises ValueError with words."""

_NUMBER = r"\d[\d.,]*"
_RANGE = re.compile(
    rf"({_NUMBER})\s*([^\d\s.,\-]*)\s*(?:-|\N{{EN DASH}}|\.\.+|\bto\b|\bbis\b)\s*({_NUMBER})\s*(\D+)"
)
_TWICE = re.compile(r"(.+?)\s*(?:[(\[]([^)\]]+)[)\]]|[/=]\s*(.+))\s*")
_UNIT = re.compile(r"[^\W\d]|[°%]")
_BETWEEN = re.compile(r"\b(?:to|bis)\b")
_CHARGES = (CHARGE.name, CHARGE_REAR.name)
_MOST_APART = 0.02


@dataclass(frozen=True, slots=True)
class Written:
    """What the cells of one field hold, each as written; empty where there is none.

    ``unit`` stands in a cell of its own or in the header, ``number_unit`` in the header of the number.
    """

    printed: str = ""
    number: str = ""
    tolerance: str = ""
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Amount:
    """A value in SI with its tolerance, None for a text, and the text as printed with its unit."""

    value: float | None
    tolerance: float | None
    as_printed: str


def read_value(field: Field, written: Written, read: ReadQuantity) -> Amount:
    """The value of a field from its cells.

    Raises
    ------
    ValueError
        With the sentence for the reader.
    """
    if field.kind is None:
        return _text(written)
    if field.kind is Kind.VOLUME and not written.number:
        text = _with_unit(written.printed, written.unit if written.printed.replace(".", "").isdigit() else "")
        return Amount(volume_in(text), None, text)
    try:
        amount = _quantity(field.kind, written, read)
    except ValueError as error:
        if field.name not in _CHARGES and not written.number:
            # Words are a value too where no weight is meant.
            return _text(written)
        raise ValueError(f"{field.title} cannot be read: {str(error).rstrip('.')}.") from None
    if field.name in _CHARGES:
        _refuse_impossible(amount)
    return amount


def _text(written: Written) -> Amount:
    text = written.printed or " ".join(filter(None, (written.number, written.unit)))
    if written.tolerance and not written.printed:
        text = f"{written.number} ± {written.tolerance} {written.unit}".strip()
    return Amount(None, None, text)


def _quantity(kind: Kind, written: Written, read: ReadQuantity) -> Amount:
    if not written.number:
        text = _whole(written)
        value, tolerance = _printed(text, kind, read)
        return Amount(value, tolerance, text)
    if not written.unit:
        raise ValueError(f"'{written.number}' has no unit")
    value, _ = read(f"{written.number} {written.unit}", kind)
    tolerance = None
    if written.tolerance:
        # A tolerance is a difference: it is read as one, behind its value.
        _, tolerance = read(f"{written.number} ± {_with_unit(written.tolerance, written.unit)}", kind)
    printed = written.printed
    if not printed:
        beside = f"{written.number} ± {written.tolerance}" if written.tolerance else written.number
        printed = _with_unit(beside, written.unit)
    return Amount(value, tolerance, printed)


def _whole(written: Written) -> str:
    """The printed text with tolerance and unit from other cells where it lacks them."""
    text = written.printed
    if written.tolerance and "±" not in text and "+/-" not in text:
        bare = written.tolerance.lstrip("±+/- ")
        text = f"{text} ± {bare}"
    return _with_unit(text, written.unit)


def _with_unit(text: str, unit: str) -> str:
    return text if not unit or not text or _names_unit(text) else f"{text} {unit}"


def _names_unit(text: str) -> bool:
    return _UNIT.search(_BETWEEN.sub("", text)) is not None


def _printed(text: str, kind: Kind, read: ReadQuantity) -> tuple[float, float | None]:
    if not _names_unit(text):
        raise ValueError(f"'{text}' has no unit; name the unit of the column")
    if spread := _RANGE.fullmatch(text):
        low, _ = read(f"{spread[1]} {spread[2] or spread[4]}", kind)
        high, _ = read(f"{spread[3]} {spread[4]}", kind)
        if high < low:
            raise ValueError(f"the range '{text}' ends below its beginning")
        return (low + high) / 2.0, (high - low) / 2.0
    try:
        return read(text, kind)
    except ValueError:
        twice = _TWICE.fullmatch(text)
        if twice is None:
            raise
        return _agreeing(twice[1], twice[2] or twice[3], text, kind, read)


def _agreeing(one: str, other: str, whole: str, kind: Kind, read: ReadQuantity) -> tuple[float, float | None]:
    """The first of two ways in which a value is printed, when both say the same."""
    value, tolerance = read(one, kind)
    again, _ = read(other, kind)
    if abs(value - again) > _MOST_APART * abs(value):
        raise ValueError(f"'{whole}' holds two values that differ")
    return value, tolerance


def _refuse_impossible(amount: Amount) -> None:
    assert amount.value is not None
    if not LIGHTEST_KG <= amount.value < HEAVIEST_KG:
        raise ValueError(f"'{amount.as_printed}' is no charge weight of a vehicle: look at the unit again.")
    if amount.tolerance is not None and amount.tolerance >= amount.value:
        raise ValueError(
            f"The tolerance in '{amount.as_printed}' is as large as the charge weight itself: look again."
        )
