"""Whether the values of one field, from several sources, say the same."""

from __future__ import annotations

import re
from itertools import combinations
from typing import TYPE_CHECKING

from knowngood_refdata.records import SourceKind

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.records import SpecDecided, SpecValue

SHORT_KIND = {
    SourceKind.UNDER_HOOD_LABEL: "label",
    SourceKind.BULLETIN: "bulletin",
    SourceKind.SERVICE_INFORMATION: "book",
    SourceKind.MEASURED: "measured",
    SourceKind.GENERIC: "generic",
}
"""The kinds of source in one word, as they stand before values side by side."""

_NUMBER = re.compile(r"\d+(?:[.,](\d+))?")
_TOLERANCE_SIGN = re.compile(r"±|\+/-|\+-")


def conflicts(values: Sequence[SpecValue]) -> bool:
    """Whether any two values of one field differ by more than the rounding they are printed with."""
    return any(not agree(one, other) for one, other in combinations(values, 2))


def agree(one: SpecValue, other: SpecValue) -> bool:
    """Whether two values of one field say the same.

    Quantities agree within half the last printed digit of each, so that a weight and its printed
    conversion agree; a tolerance does not hide a difference. Texts agree in their letters and digits.
    """
    if one.value is None or other.value is None:
        return _plain(one.as_printed) == _plain(other.as_printed)
    rounding = (printed_step(one) + printed_step(other)) / 2.0
    slack = rounding + 1e-9 * abs(one.value)
    if abs(one.value - other.value) > slack:
        return False
    if one.tolerance is None or other.tolerance is None:
        return True
    return abs(one.tolerance - other.tolerance) <= slack


def printed_step(spec: SpecValue) -> float:
    """What one unit of the last printed digit is worth, in the SI unit of the value.

    0 when the text holds more than one number before its tolerance (``1 lb 4 oz``).
    """
    numbers = list(_NUMBER.finditer(_TOLERANCE_SIGN.split(spec.as_printed)[0]))
    if spec.value is None or len(numbers) != 1:
        return 0.0
    number = float(numbers[0][0].replace(",", "."))
    decimals = len(numbers[0][1] or "")
    return abs(spec.value) / number * 10.0**-decimals if number else 0.0


def conflict_sentence(values: Sequence[SpecValue], decided: SpecDecided | None = None) -> str:
    """Conflicting values side by side with what to do about it; empty when they agree."""
    if not conflicts(values):
        return ""
    beside = " \N{MIDDLE DOT} ".join(f"{SHORT_KIND[one.source_kind]} {one.as_printed}" for one in values)
    chosen = next((one for one in values if decided is not None and one.id == decided.spec_id), None)
    if chosen is None or decided is None:
        return f"{beside}: they differ; {_advice(values)}"
    reason = decided.why.rstrip(".")
    return f"{beside}: they differ; {decided.who} decided for {chosen.as_printed}: {reason}."


def _advice(values: Sequence[SpecValue]) -> str:
    labels = [one for one in values if one.source_kind is SourceKind.UNDER_HOOD_LABEL]
    if not labels:
        return "read the label on the car."
    if conflicts(labels):
        return "labels change with the build date, so go by the one on this car."
    return "the label on the car comes first."


def _plain(text: str) -> str:
    return "".join(letter for letter in text.casefold() if letter.isalnum())
