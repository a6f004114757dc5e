"""Pictures kept with a vehicle, on both databases."""

from __future__ import annotations

import hashlib
import struct
import zlib
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from knowngood_refdata.drafts import VehicleDraft
from knowngood_refdata.errors import Conflict, NotFound, UnfitValue
from knowngood_refdata.models import Audit
from knowngood_refdata.pictures import MediaType, UnfitPicture
from knowngood_refdata.queries import pictures, vehicles
from knowngood_refdata.queries.pictures import PictureDraft

if TYPE_CHECKING:
    from knowngood_refdata.store import Store


def png(width: int, height: int) -> bytes:
    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
    lines = zlib.compress((b"\0" + b"\x80" * width) * height)
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", lines) + chunk(b"IEND", b"")


LABEL = PictureDraft(png(40, 30), png(4, 3), " charge label ", "label\udce9.png")


@pytest.fixture
def skerry(store: Store) -> int:
    return vehicles.add_vehicle(store, VehicleDraft("Tarn", "Skerry", "1.6", 2021))


def test_a_picture_comes_back_byte_for_byte_with_what_it_shows(store: Store, skerry: int) -> None:
    number = pictures.add(store, skerry, LABEL)
    (found,) = pictures.pictures(store, skerry)
    assert (found.id, found.shows, found.name) == (number, "charge label", "label\\udce9.png")
    assert (found.media_type, found.width, found.height) == (MediaType.PNG, 40, 30)
    assert (found.thumbnail, found.added_by) == (LABEL.thumbnail, "Ada Fell")
    assert found.sha256 == hashlib.sha256(LABEL.content).hexdigest()
    assert pictures.content(store, number) == LABEL.content


def test_the_audit_trail_names_a_picture_by_its_hash_and_does_not_hold_it(store: Store, skerry: int) -> None:
    pictures.add(store, skerry, LABEL)
    with store.reading() as session:
        trace = session.scalars(select(Audit).where(Audit.table_name == "picture")).one()
    digest = hashlib.sha256(LABEL.content).hexdigest()
    assert trace.after["content"] == f"<{len(LABEL.content)} bytes, SHA-256 {digest}>"
    assert trace.after["shows"] == "charge label"


def test_a_removed_picture_is_brought_back(store: Store, skerry: int) -> None:
    number = pictures.add(store, skerry, LABEL)
    pictures.remove(store, number, 1, "blurred")
    assert pictures.pictures(store, skerry) == ()
    (removed,) = pictures.pictures(store, skerry, removed=True)
    pictures.restore(store, number, removed.version)
    assert [one.id for one in pictures.pictures(store, skerry)] == [number]
    with store.reading() as session:
        traces = session.scalars(select(Audit).where(Audit.table_name == "picture").order_by(Audit.id)).all()
    assert [(one.action, one.why) for one in traces] == [
        ("added", "picture added"),
        ("deleted", "blurred"),
        ("changed", "picture brought back"),
    ]


def test_what_a_picture_shows_is_corrected_unless_someone_else_was_first(store: Store, skerry: int) -> None:
    number = pictures.add(store, skerry, LABEL)
    pictures.describe(store, number, 1, "oil label")
    with pytest.raises(Conflict, match="Their change was kept"):
        pictures.describe(store, number, 1, "low side port")
    assert [one.shows for one in pictures.pictures(store, skerry)] == ["oil label"]


def test_the_same_picture_is_kept_once_for_each_vehicle(store: Store, skerry: int) -> None:
    other = vehicles.add_vehicle(store, VehicleDraft("Tarn", "Fell", "", 2020))
    number = pictures.add(store, skerry, LABEL)
    pictures.add(store, other, LABEL)
    with pytest.raises(UnfitValue, match="this very picture already"):
        pictures.add(store, skerry, LABEL)
    pictures.remove(store, number, 1, "wrong car")
    pictures.add(store, skerry, LABEL)


def test_what_is_no_picture_or_of_no_vehicle_is_refused(store: Store, skerry: int) -> None:
    with pytest.raises(UnfitPicture, match="Nothing was stored"):
        pictures.add(store, skerry, PictureDraft(b"MZ", LABEL.thumbnail, "label"))
    with pytest.raises(UnfitPicture, match="Nothing was stored"):
        pictures.add(store, skerry, PictureDraft(LABEL.content, b"", "label"))
    with pytest.raises(NotFound, match="no vehicle number 77"):
        pictures.add(store, 77, LABEL)
    other = vehicles.add_vehicle(store, VehicleDraft("Tarn", "Fell", "", 2020))
    car = vehicles.add_unit(store, other, fleet_number="HL-7")
    with pytest.raises(UnfitValue, match="not one of this vehicle's"):
        pictures.add(store, skerry, PictureDraft(LABEL.content, LABEL.thumbnail, "label", unit_id=car))
    assert pictures.pictures(store, skerry) == ()
    with pytest.raises(NotFound, match="no picture number 9"):
        pictures.content(store, 9)
