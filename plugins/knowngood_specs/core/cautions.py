"""Where a spec can hurt someone or something: what is wrong, and what that rests on.

Every caution defers to the vehicle maker's procedure. None of them judges a charge by pressure.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.records import CompressorKind, SourceKind
from knowngood_specs.core.fields import (
    CHARGE,
    COMPRESSOR,
    EVAPORATORS,
    OIL,
    OIL_APPROVED,
    ORIGINAL_GAS,
    REFRIGERANT,
    RETROFIT_LABEL,
)
from knowngood_specs.core.form import designation

if TYPE_CHECKING:
    from collections.abc import Iterable

    from knowngood_refdata.records import SpecValue, Vehicle

MACHINE_LIMIT_KG = 0.015
"""What a charging machine of the usual standards may be wrong by: 15 g, SAE J2788 and J2843 (from memory)."""

SAME_CHARGE_KG = 0.005
"""Charges this close to one another are taken for one figure."""

_BELT_OIL = re.compile(r"\bPAG\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Caution:
    """What to look at again, what that rests on, and which field it concerns."""

    words: str
    basis: str
    field: str


def cautions(
    vehicle: Vehicle, sisters: Iterable[Vehicle] = (), scale_limit_kg: float = MACHINE_LIMIT_KG
) -> tuple[Caution, ...]:
    """Every caution that the record of a vehicle gives rise to.

    Parameters
    ----------
    sisters
        Other configurations of the same make and model.
    scale_limit_kg
        Limit of error of the scale or machine that the shop charges with [kg].
    """
    return tuple(
        found
        for found in (
            _oil(vehicle),
            _refrigerant(vehicle),
            _dual_charge(vehicle, sisters),
            _tolerance(vehicle, scale_limit_kg),
            _retrofit(vehicle),
        )
        if found is not None
    )


def is_electric(vehicle: Vehicle) -> bool:
    """Whether any source says that the compressor is an electric one."""
    return any(CompressorKind.ELECTRIC in text for text in _texts(vehicle, COMPRESSOR.name))


def is_dual(vehicle: Vehicle) -> bool | None:
    """Whether the car has two evaporators; None when nothing on record says."""
    said = " ".join((vehicle.evaporators.casefold(), *_texts(vehicle, EVAPORATORS.name)))
    if "dual" in said or "rear" in said:
        return True
    return False if "single" in said else None


def _oil(vehicle: Vehicle) -> Caution | None:
    if not is_electric(vehicle):
        return None
    approved = _texts(vehicle, OIL_APPROVED.name)
    if approved and approved[0].startswith("yes"):
        return None
    said_no = bool(approved) and approved[0].startswith("no")
    oils = [one.as_printed for one in vehicle.specs.get(OIL.name, ())]
    if said_no:
        told = f"{oils[0] if oils else 'the oil on record'} is not approved for this electric compressor"
    elif any(_BELT_OIL.search(one) for one in oils):
        told = f"{oils[0]} in an electric compressor: nothing on record says that the maker approves it there"
    elif not oils:
        told = "an electric compressor without an oil on record: the grade is the maker's alone"
    else:
        return None
    return Caution(
        f"{told}. Oil that conducts can bring high voltage to the housing. Use the maker's grade only",
        "trade press on high-voltage compressors: about one percent of a wrong oil lowers the insulation",
        OIL.name,
    )


def _refrigerant(vehicle: Vehicle) -> Caution | None:
    values = vehicle.specs.get(REFRIGERANT.name, ())
    labels = {designation(one.as_printed) for one in values if one.source_kind is SourceKind.UNDER_HOOD_LABEL}
    others = {designation(one.as_printed) for one in values} - labels
    if not labels or not others:
        return None
    return Caution(
        f"the label says {_listed(labels)}, another source {_listed(others)}. Identify the gas before "
        "anything is connected; fittings, oil and charge belong to one refrigerant",
        "common practice, no source: fittings and labels can be wrong",
        REFRIGERANT.name,
    )


def _dual_charge(vehicle: Vehicle, sisters: Iterable[Vehicle]) -> Caution | None:
    charge = vehicle.spec(CHARGE.name)
    if charge is None or charge.value is None or is_dual(vehicle) is not False:
        return None
    if "rear" in charge.citation.casefold() or "dual" in charge.as_printed.casefold():
        return _dual(charge, "its source speaks of a rear unit")
    for sister in sisters:
        theirs = sister.spec(CHARGE.name)
        if sister.id == vehicle.id or is_dual(sister) is not True or theirs is None or theirs.value is None:
            continue
        if abs(theirs.value - charge.value) <= SAME_CHARGE_KG:
            return _dual(charge, f"{sister.name} with two evaporators holds as much")
    return None


def _dual(charge: SpecValue, why: str) -> Caution:
    return Caution(
        f"{charge.as_printed} on a car with a single evaporator: {why}. A rear unit takes some 40 percent "
        "more; read the label on this car",
        "a maker's service manual: 960 g without and 1,360 g with a rear unit",
        CHARGE.name,
    )


def _tolerance(vehicle: Vehicle, scale_limit_kg: float) -> Caution | None:
    charge = vehicle.spec(CHARGE.name)
    if charge is None or charge.tolerance is None or charge.tolerance >= scale_limit_kg - 1e-9:
        return None
    return Caution(
        f"the tolerance of {charge.as_printed} is tighter than the scale can tell: choose a finer scale, or "
        "say in the report how well the weight is known",
        "SAE J2788 and J2843: a machine may be wrong by 15 g (from memory)",
        CHARGE.name,
    )


def _retrofit(vehicle: Vehicle) -> Caution | None:
    original, now = _texts(vehicle, ORIGINAL_GAS.name), _texts(vehicle, REFRIGERANT.name)
    if not original or not now or designation(original[0]) == designation(now[0]):
        return None
    if any("on the car" in text for text in _texts(vehicle, RETROFIT_LABEL.name)):
        return None
    return Caution(
        f"changed from {designation(original[0])} to {designation(now[0])} without a retrofit label on "
        "record: the charge of the original refrigerant does not hold, and the law of many countries asks "
        "for the label",
        "40 CFR 82 subpart G, appendix B: unique fittings and a detailed label are use conditions",
        RETROFIT_LABEL.name,
    )


def _texts(vehicle: Vehicle, field: str) -> list[str]:
    return [one.as_printed.casefold() for one in vehicle.specs.get(field, ())]


def _listed(names: Iterable[str]) -> str:
    return " or ".join(sorted(names))
