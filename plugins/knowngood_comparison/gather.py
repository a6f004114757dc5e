"""Fetch from the library what belongs side by side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_comparison.core.clouds import Cloud, Speeds, clouds, taken
from knowngood_comparison.core.names import BOTH
from knowngood_refdata.queries import pairs, readings, vehicles
from knowngood_refdata.records import Standing

if TYPE_CHECKING:
    from knowngood_refdata.queries.pairs import Pair
    from knowngood_refdata.records import Reading
    from knowngood_refdata.store import Store


@dataclass(frozen=True, slots=True)
class Overlaid:
    """What the library holds: how many vehicles, the pairs, and the known-good readings of one of them."""

    held: int
    pairs: tuple[Pair, ...] = ()
    chosen: int = 0
    clouds: tuple[Cloud, Cloud] | None = None

    @property
    def pair(self) -> Pair | None:
        """The pair whose readings are here; None when the library holds no pair."""
        return self.pairs[self.chosen] if self.pairs else None


def overlaid(store: Store, wanted: tuple[int, int] | None, in_hand: int | None, speeds: Speeds) -> Overlaid:
    """The pairs of the library, and one of them with its known-good readings.

    Parameters
    ----------
    wanted
        The vehicles of the pair to show; when there is no such pair, one with the vehicle in hand, or the
        first that has readings on both sides.
    in_hand
        The vehicle in hand.
    speeds
        Which readings count.
    """
    held = vehicles.count(store)
    found = pairs.pairs(store, *BOTH) if held else ()
    if not found:
        return Overlaid(held)
    chosen = _chosen(store, found, wanted, in_hand)
    first, second = (
        (name, taken(_known_good(store, vehicle.id), speeds))
        for name, vehicle in zip(BOTH, (found[chosen].first, found[chosen].second), strict=True)
    )
    return Overlaid(held, found, chosen, clouds(first, second))


def _chosen(
    store: Store, found: tuple[Pair, ...], wanted: tuple[int, int] | None, in_hand: int | None
) -> int:
    ids = [(pair.first.id, pair.second.id) for pair in found]
    if wanted in ids:
        return ids.index(wanted)
    if in_hand is not None:
        return next((place for place, both in enumerate(ids) if in_hand in both), 0)
    full = (
        place
        for place, both in enumerate(ids)
        if all(readings.count(store, one, Standing.KNOWN_GOOD)[0] for one in both)
    )
    return next(full, 0)


def _known_good(store: Store, vehicle_id: int) -> tuple[Reading, ...]:
    return readings.readings(store, vehicle_id, Standing.KNOWN_GOOD)
