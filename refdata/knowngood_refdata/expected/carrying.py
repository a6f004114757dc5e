"""Readings carried over to other conditions: what each would have been today, by the model's slopes alone."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.forecasting import aimed
from knowngood_refdata.expected.match import Point
from knowngood_refdata.expected.model.forecast import outlook

if TYPE_CHECKING:
    from collections.abc import Iterable

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.forecasts import Subject
    from knowngood_refdata.records import Quantity, Reading


def carried(
    book: Book, subject: Subject, quantity: Quantity, readings: Iterable[Reading]
) -> tuple[float, ...]:
    """Each reading moved to the subject's conditions, in the SI unit of the quantity.

    A reading keeps its distance from what was to be expected under its own conditions. Readings without the
    quantity, or without the conditions it needs, are left out.
    """
    fit = book.fit_of(quantity)
    if fit is None:
        return ()
    today = aimed(fit, subject, quantity)
    expected = outlook(fit, today.target).mean()
    found = []
    for one in readings:
        if quantity not in one.values:
            continue
        point = Point(one.conditions, one.engine_rpm, one.fan_stage)
        then = aimed(fit, replace(subject, point=point), quantity)
        # Its own refrigerant's curve: kin may be filled with another.
        own = then
        if one.vehicle_id != subject.vehicle.id:
            other = replace(subject, point=point, vehicle=book.vehicles[one.vehicle_id])
            own = aimed(fit, other, quantity)
        off = own.scale.inside(one.values[quantity].value) - outlook(fit, then.target).mean()
        if np.isfinite(off):
            found.append(float(today.scale.shown(np.array([expected + off]))[0]))
    return tuple(found)
