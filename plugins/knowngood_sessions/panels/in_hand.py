"""What is known of a session besides its samples once its columns are confirmed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_sessions.library import Facts

if TYPE_CHECKING:
    from knowngood.api import Host
    from knowngood_refdata.records import Vehicle
    from knowngood_sessions.panels.mapping_dialog import MappingDialog


def unit_id_of(host: Host, vehicle: Vehicle) -> int | None:
    """The number of the car in hand, when it is one of this vehicle's."""
    unit = host.bench.unit
    return unit.id if unit is not None and unit.vehicle_id == vehicle.id else None


def facts_of(host: Host, vehicle: Vehicle, dialog: MappingDialog) -> Facts:
    """What the dialog says of a session of this vehicle, under the name of who works here."""
    return Facts(
        vehicle_id=vehicle.id,
        refrigerant=dialog.refrigerant,
        conditions=dialog.conditions,
        instruments=dialog.instruments,
        unit_id=unit_id_of(host, vehicle),
        technician=host.user(),
    )
