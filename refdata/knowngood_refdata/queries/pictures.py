"""Pictures of labels, ports and clamp places, kept with the vehicle they show."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import select

from knowngood_refdata.errors import Conflict, NotFound, UnfitValue
from knowngood_refdata.models import Configuration, PictureRow, UnitRow
from knowngood_refdata.pictures import MediaType, look_at

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from knowngood_refdata.store import Store


@dataclass(frozen=True, slots=True)
class PictureDraft:
    """A picture to be added: the file as it is to be kept, and a small version of it for lists.

    ``shows`` says what is to be seen (``charge label``), ``name`` is the file's.
    """

    content: bytes
    thumbnail: bytes
    shows: str
    name: str = ""
    unit_id: int | None = None


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture of a vehicle with its thumbnail; its content is asked for by `content`."""

    id: int
    vehicle_id: int
    unit_id: int | None
    shows: str
    name: str
    sha256: str
    media_type: MediaType
    width: int
    height: int
    thumbnail: bytes
    added_by: str
    added_at: datetime
    version: int


def add(store: Store, vehicle_id: int, draft: PictureDraft) -> int:
    """Add a picture to a vehicle; its id.

    Raises
    ------
    UnfitPicture
        When picture or thumbnail is no picture or too large.
    UnfitValue
        When the vehicle has the picture already, or the car is of another vehicle.
    NotFound
        When there is no such vehicle.
    """
    facts = look_at(draft.content)
    look_at(draft.thumbnail)
    digest = hashlib.sha256(draft.content).hexdigest()
    with store.writing("picture added") as session:
        _see_whose(session, vehicle_id, draft.unit_id)
        _see_that_new(session, vehicle_id, digest)
        row = PictureRow(
            configuration_id=vehicle_id,
            unit_id=draft.unit_id,
            shows=draft.shows.strip(),
            name=_readable(draft.name),
            sha256=digest,
            media_type=facts.media_type.value,
            width=facts.width,
            height=facts.height,
            content=draft.content,
            thumbnail=draft.thumbnail,
        )
        session.add(row)
        session.flush()
        return row.id


def pictures(store: Store, vehicle_id: int, *, removed: bool = False) -> tuple[Picture, ...]:
    """The pictures of a vehicle in the order they were added; those removed when ``removed``."""
    deleted = PictureRow.deleted_at.is_not(None) if removed else PictureRow.deleted_at.is_(None)
    query = select(PictureRow).where(PictureRow.configuration_id == vehicle_id, deleted)
    with store.reading() as session:
        return tuple(_picture(row) for row in session.scalars(query.order_by(PictureRow.id)))


def content(store: Store, picture_id: int) -> bytes:
    """The file of a picture, byte for byte; of a removed one too.

    Raises
    ------
    NotFound
        When there is none of this number.
    """
    with store.reading() as session:
        found = session.scalar(select(PictureRow.content).where(PictureRow.id == picture_id))
    if found is None:
        raise _missing(picture_id)
    return found


def describe(store: Store, picture_id: int, version: int, shows: str) -> None:
    """Say anew what a picture shows.

    Raises
    ------
    Conflict
        When the picture is no longer at the version that was shown.
    """
    with store.writing("picture described") as session:
        _at_version(session, picture_id, version).shows = shows.strip()


def remove(store: Store, picture_id: int, version: int, why: str) -> None:
    """Mark a picture as removed; `restore` brings it back.

    Raises
    ------
    Conflict
        When the picture is no longer at the version that was shown.
    """
    with store.writing(why) as session:
        _at_version(session, picture_id, version).deleted_at = datetime.now(UTC)


def restore(store: Store, picture_id: int, version: int) -> None:
    """Bring a removed picture back.

    Raises
    ------
    Conflict
        When the picture is no longer at the version that was shown.
    """
    with store.writing("picture brought back") as session:
        _at_version(session, picture_id, version).deleted_at = None


def _see_whose(session: Session, vehicle_id: int, unit_id: int | None) -> None:
    vehicle = session.get(Configuration, vehicle_id)
    if vehicle is None or vehicle.deleted_at is not None:
        raise NotFound(f"The library holds no vehicle number {vehicle_id}. The picture was not stored.")
    if unit_id is None:
        return
    unit = session.get(UnitRow, unit_id)
    if unit is None or unit.configuration_id != vehicle_id:
        raise UnfitValue("The car is not one of this vehicle's. The picture was not stored.")


def _see_that_new(session: Session, vehicle_id: int, digest: str) -> None:
    query = select(PictureRow.shows).where(
        PictureRow.configuration_id == vehicle_id,
        PictureRow.sha256 == digest,
        PictureRow.deleted_at.is_(None),
    )
    for shows in session.scalars(query):
        raise UnfitValue(f"The vehicle has this very picture already ({shows}). It was not stored again.")


def _readable(name: str) -> str:
    # A file's name may hold bytes that are no text; the picture is no worse for it.
    return name.replace("\0", "").encode(errors="backslashreplace").decode()


def _at_version(session: Session, picture_id: int, version: int) -> PictureRow:
    row = session.get(PictureRow, picture_id)
    if row is None:
        raise _missing(picture_id)
    if row.version != version:
        raise Conflict(
            "Someone else changed this picture since it was shown. Their change was kept. "
            "Look at it and decide again."
        )
    return row


def _missing(picture_id: int) -> NotFound:
    return NotFound(f"The library holds no picture number {picture_id}. Nothing was changed.")


def _picture(row: PictureRow) -> Picture:
    return Picture(
        id=row.id,
        vehicle_id=row.configuration_id,
        unit_id=row.unit_id,
        shows=row.shows,
        name=row.name,
        sha256=row.sha256,
        media_type=MediaType(row.media_type),
        width=row.width,
        height=row.height,
        thumbnail=row.thumbnail,
        added_by=row.created_by,
        added_at=row.created_at,
        version=row.version,
    )
