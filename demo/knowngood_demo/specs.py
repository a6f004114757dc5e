"""The spec values of the demo's cars, each with the source it was read from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_demo.cars import LABEL, Citation
from knowngood_refdata.drafts import SpecDraft, VehicleDraft

if TYPE_CHECKING:
    from knowngood_demo.cars import Car

REVIEWER = "Ida Quill"


def vehicle_draft(car: Car) -> VehicleDraft:
    """A configuration with all its spec values, as the shop entered it."""
    return VehicleDraft(
        make=car.family.maker,
        model=car.model,
        engine=car.engine,
        year_from=car.years[0],
        year_to=car.years[1],
        market=car.market,
        evaporators=car.evaporators,
        vin_pattern=car.vin_pattern,
        build_from=car.build[0],
        build_to=car.build[1],
        maker=car.family.maker,
        family=car.family.name,
        notes=car.note,
        specs=_specs(car),
    )


def _specs(car: Car) -> tuple[SpecDraft, ...]:
    book, design = car.family.book, car.design
    return (
        _text("refrigerant", design.refrigerant, LABEL),
        *_charges(car),
        _text("compressor", str(design.compressor.kind), book),
        _text("metering device", str(design.metering), book),
        _text("fan", car.family.fan, book),
        _text("oil", car.family.oil, book),
        _text("evaporators", car.evaporators, book),
    )


def _charges(car: Car) -> tuple[SpecDraft, ...]:
    label = _charge(car.label_kg, car.tolerance_kg, LABEL)
    if car.book_kg is None:
        return (label,)
    return (label, _charge(car.book_kg, car.tolerance_kg, car.family.book))


def _charge(kg: float, tolerance_kg: float, source: Citation) -> SpecDraft:
    return SpecDraft(
        field="charge",
        value=kg,
        tolerance=tolerance_kg,
        as_printed=f"{1e3 * kg:.0f} ± {1e3 * tolerance_kg:.0f} g",
        source_kind=source.kind,
        citation=source.text,
        revision=source.revision,
        reviewed_by=REVIEWER,
    )


def _text(field: str, printed: str, source: Citation) -> SpecDraft:
    return SpecDraft(
        field=field,
        value=None,
        as_printed=printed,
        source_kind=source.kind,
        citation=source.text,
        revision=source.revision,
        reviewed_by=REVIEWER,
    )
