"""What a record asks the library for, beyond the vehicle itself."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.errors import NotFound
from knowngood_refdata.quantities import Kind
from knowngood_refdata.queries import vehicles
from knowngood_refdata.queries.pictures import pictures
from knowngood_refdata.queries.shop_fields import shop_fields
from knowngood_refdata.records import SourceKind
from knowngood_specs.core.cautions import is_dual
from knowngood_specs.core.fields import CHARGE, Field, Section, with_shop_fields

if TYPE_CHECKING:
    from collections.abc import Iterable

    from knowngood.api import SpecField
    from knowngood_refdata.queries.pictures import Picture
    from knowngood_refdata.queries.shop_fields import ShopField
    from knowngood_refdata.records import SpecValue, Vehicle
    from knowngood_refdata.store import Store

MOST_SISTERS = 8


def all_fields(store: Store, brought: Iterable[SpecField] = ()) -> tuple[Field, ...]:
    """The fields of a record in its order, those that plugins bring and the shop defined among them."""
    of_plugins = (
        Field(one.name, one.title, one.kind, one.choices, one.example, section_named(one.section))
        for one in brought
    )
    return with_shop_fields((*of_plugins, *(field_of(one) for one in shop_fields(store))))


def section_named(name: str) -> Section:
    """The section of a name; the shop's own where there is none of it."""
    return next((one for one in Section if one == name), Section.SHOP)


def field_of(defined: ShopField) -> Field:
    """A field that the shop defined; in a section that is not one of a record it is the shop's own."""
    section = section_named(defined.section)
    kind = next((one for one in Kind if one == defined.kind), None)
    return Field(defined.name, defined.title, kind, defined.choices, "", section)


def sisters(store: Store, vehicle: Vehicle) -> tuple[Vehicle, ...]:
    """Configurations with two evaporators of the same make and model, for a vehicle that has one.

    Only the charge of such a vehicle is compared with theirs; for every other the answer is empty.
    """
    if is_dual(vehicle) is not False or vehicle.spec(CHARGE.name) is None:
        return ()
    found = vehicles.search(store, f"{vehicle.make} {vehicle.model} dual", limit=MOST_SISTERS)
    return tuple(one for one in found if (one.make, one.model) == (vehicle.make, vehicle.model))


def label_picture(store: Store, vehicle_id: int) -> Picture | None:
    """The first picture of the under-hood label, None when there is none."""
    kept = pictures(store, vehicle_id)
    return next((one for one in kept if one.shows == SourceKind.UNDER_HOOD_LABEL), None)


def value_on_record(store: Store, vehicle_id: int, spec_id: int) -> SpecValue:
    """One value of a vehicle.

    Raises
    ------
    NotFound
        When it was retired or never was.
    """
    held = vehicles.vehicle(store, vehicle_id).specs.values()
    for one in (spec for values in held for spec in values):
        if one.id == spec_id:
            return one
    raise NotFound(
        "The value is no longer on record: it was corrected or retired. The history tells by whom."
    )
