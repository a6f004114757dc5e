"""As found against as left in words and cells, in the units of the screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood_checkup.core.left import Change
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.formatting import System
    from knowngood_checkup.core.left import Difference, Pair

HEADS = ("Quantity", "As found", "As left", "Difference (95 %)", "Outcome")
_PRESSURES = (Quantity.LOW_SIDE, Quantity.HIGH_SIDE)


def pair_name(pair: Pair) -> str:
    """Which windows are compared: ``idle, fan stage 1``."""
    stage = "fan stage not known" if pair.left.fan_stage is None else f"fan stage {pair.left.fan_stage}"
    return f"{pair.left.label}, {stage}"


def difference_cells(one: Difference, system: System, found_air_pa: float, left_air_pa: float) -> list[str]:
    """A row of the table."""
    kind = Kind.PRESSURE if one.quantity in _PRESSURES else Kind.TEMPERATURE_DIFFERENCE
    change = formatting.estimate_text(one.change, kind, system, difference=True)
    corrected = " *" if one.corrected else ""
    return [
        str(one.quantity),
        formatting.text(one.found.value, one.quantity, system, barometer_pa=found_air_pa),
        formatting.text(one.left.value, one.quantity, system, barometer_pa=left_air_pa),
        f"{change}{corrected}",
        f"{one.verdict}{f': {one.reason}' if one.reason else ''}",
    ]


def summary(pairs: Sequence[Pair]) -> str:
    """What became of the car in a sentence; *improved* only when it is."""
    verdicts = [one.verdict for pair in pairs for one in pair.differences]
    if not verdicts:
        return "The two sessions hold no steady windows at the same engine speed, so nothing can be compared."
    counts = {one: verdicts.count(one) for one in Change if verdicts.count(one)}
    if set(counts) <= {Change.SAME, Change.NOT_COMPARABLE}:
        return "Nothing differs by more than its uncertainty."
    told = ", ".join(f"{count} {one}" for one, count in counts.items() if one is not Change.SAME)
    return f"Of {len(verdicts)} values: {told}."


CORRECTED = "* difference of the distances from what is expected under the conditions of each session"
