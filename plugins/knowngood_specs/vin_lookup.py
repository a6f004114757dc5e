"""A VIN laid beside the library, off the GUI thread."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.queries.vin_candidates import Candidates, candidates, cars_with
from knowngood_specs.core.vin_search import Outcome, judge

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.queries.vin_candidates import Candidate
    from knowngood_refdata.records import Unit
    from knowngood_refdata.store import Store
    from knowngood_refdata.vin import Vin
    from knowngood_refdata.vin_points import Known


@dataclass(frozen=True, slots=True)
class VinAnswer:
    """What fits a VIN, the cars on record that carry it, and how many vehicles only a make would bring in."""

    outcome: Outcome[Candidate]
    cars: tuple[Unit, ...] = ()
    left_aside: int = 0


def look_up_vin(store: Store, vin: Vin, known: Known, left: Sequence[Candidate] | None = None) -> VinAnswer:
    """Compare a VIN with the library, or with the vehicles that earlier answers have left."""
    compared = Candidates(tuple(left)) if left is not None else candidates(store, vin, known.make)
    outcome = judge(vin, compared.vehicles, known)
    return VinAnswer(outcome, cars_with(store, vin.characters), compared.left_aside)
