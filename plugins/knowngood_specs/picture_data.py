"""Pictures on their way into the library, one after another, each taken or refused in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import pictures
from knowngood_refdata.queries.pictures import PictureDraft

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from knowngood.api import Progress
    from knowngood_refdata.store import Store

    Fit = Callable[[Path], tuple[bytes, bytes]]
    """Reads a file and makes picture and thumbnail of it; raises a StoreError with words."""

SHOWS = ("under-hood label", "port", "clamp place", "other")
"""What a picture can be said to show."""


@dataclass(frozen=True, slots=True)
class Added:
    """How many pictures were added, and why others were not."""

    count: int
    refused: tuple[str, ...]

    @property
    def words(self) -> str:
        """What to tell about it."""
        taken = f"{self.count} picture{'' if self.count == 1 else 's'} added." if self.count else ""
        return "\n".join(part for part in (taken, *self.refused) if part)


def add_pictures(
    store: Store, vehicle_id: int, paths: Sequence[Path], shows: str, fit: Fit, progress: Progress
) -> Added:
    """Add picture files to a vehicle; one that is refused does not keep the others out."""
    count, refused = 0, []
    for number, path in enumerate(paths):
        progress(number / len(paths), path.name)
        try:
            content, thumbnail = fit(path)
            pictures.add(store, vehicle_id, PictureDraft(content, thumbnail, shows, path.name))
        except (StoreError, ValueError) as error:
            refused.append(f"{path.name}: {error}")
        else:
            count += 1
    return Added(count, tuple(refused))
