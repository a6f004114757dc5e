"""Vehicles moved between makers and system families."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import families, vehicles

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.queries.families import Family
    from knowngood_refdata.store import Store


def move_vehicles(
    store: Store, origin: Family, vehicle_ids: Sequence[int], maker: str, name: str, why: str
) -> None:
    """Move vehicles of a family to another of any maker, made when new; without a name to no family.

    To a new family of the same maker they go as one step: the family is split.

    Raises
    ------
    StoreError, ValueError
        With words; when only some could be moved they say how many.
    """
    held = {one.name for one in families.families(store, maker)}
    if maker == origin.maker and name and name not in held:
        families.split_family(store, origin.id, vehicle_ids, name, why)
        return
    for done, vehicle_id in enumerate(vehicle_ids):
        try:
            version = vehicles.vehicle(store, vehicle_id).version
            families.move_vehicle(store, vehicle_id, version, why, maker=maker, family=name)
        except StoreError as error:
            if not done:
                raise
            raise StoreError(
                f"{done} of {len(vehicle_ids)} vehicles were moved, then this: {error}"
            ) from error
