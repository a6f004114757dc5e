"""Samples of sessions between recordings and rows.

numpy is loaded where samples are: the list of sessions must not cost every start a tenth of a second.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import zstandard
from sqlalchemy import select

from knowngood_refdata.errors import UnfitValue
from knowngood_refdata.models import ChannelChunk, ChannelRow
from knowngood_refdata.plain_errors import damaged
from knowngood_refdata.records import Channel, Recording, Role

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sqlalchemy.orm import Session

    from knowngood_refdata.models import SessionRow
    from knowngood_refdata.series import Packed

TIME = "time"


@dataclass(frozen=True, slots=True)
class Stored:
    """The compressed samples of a session, read but not yet unpacked: that needs no library."""

    session_id: int
    channels: Sequence[ChannelRow]
    chunks: Mapping[int, list[bytes]]
    from_s: float | None
    until_s: float | None

    def unpacked(self, place: str) -> Recording:
        """The recording; ``place`` names the library.

        Raises
        ------
        LibraryDamaged
            When the samples are no longer what was stored.
        """
        from knowngood_refdata.series import Packed, unpack

        try:
            values = {
                one.id: unpack(Packed(one.decimals, tuple(self.chunks[one.id]))) for one in self.channels
            }
            time, *others = self.channels
        except (zstandard.ZstdError, ValueError) as error:
            raise damaged(place, f"the samples of session {self.session_id}") from error
        whole = Recording(
            values[time.id],
            tuple(Channel(one.name, Role(one.role), one.unit, one.gauge, values[one.id]) for one in others),
        )
        if any(one.values.size != whole.time_s.size for one in whole.channels):
            raise damaged(place, f"the samples of session {self.session_id}")
        return (
            whole if self.from_s is None or self.until_s is None else part(whole, self.from_s, self.until_s)
        )


def owner_id(row: SessionRow) -> int:
    """The session that holds the channels: of a cut its parent."""
    return row.id if row.parent_id is None else row.parent_id


def read_samples(session: Session, row: SessionRow) -> Stored:
    """The compressed samples of a session."""
    channels = session.scalars(
        select(ChannelRow).where(ChannelRow.session_id == owner_id(row)).order_by(ChannelRow.position)
    ).all()
    chunks: dict[int, list[bytes]] = {one.id: [] for one in channels}
    query = (
        select(ChannelChunk.channel_id, ChannelChunk.content)
        .where(ChannelChunk.channel_id.in_(chunks))
        .order_by(ChannelChunk.channel_id, ChannelChunk.number)
    )
    for channel_id, content in session.execute(query):
        chunks[channel_id].append(content)
    return Stored(row.id, channels, chunks, row.from_s, row.until_s)


def part(recorded: Recording, from_s: float, until_s: float) -> Recording:
    """The samples between two moments, both included; times count from the first of them."""
    first = int(recorded.time_s.searchsorted(from_s, side="left"))
    last = int(recorded.time_s.searchsorted(until_s, side="right"))
    time_s = recorded.time_s[first:last]
    return Recording(
        time_s - time_s[0] if time_s.size else time_s,
        tuple(
            Channel(one.name, one.role, one.unit, one.gauge, one.values[first:last])
            for one in recorded.channels
        ),
    )


def pack_all(recorded: Recording) -> list[Packed]:
    """The time axis and every channel compressed, in this order.

    Raises
    ------
    UnfitValue
        When a channel has not a sample at each time.
    """
    from knowngood_refdata.series import pack

    expected = len(recorded.time_s)
    for one in recorded.channels:
        if len(one.values) != expected:
            raise UnfitValue(
                f"The channel {one.name!r} has {len(one.values)} samples at {expected} times. "
                "Nothing was stored. Import the file again."
            )
    return [pack(recorded.time_s), *(pack(one.values) for one in recorded.channels)]


def write_channels(session: Session, session_id: int, recorded: Recording, packed: list[Packed]) -> None:
    """Add the channels of a session with their samples, as `pack_all` gave them."""
    time = ChannelRow(
        session_id=session_id, position=0, name=TIME, role=TIME, unit="s", gauge=False,
        decimals=packed[0].decimals,
    )  # fmt: skip
    channels = [
        ChannelRow(
            session_id=session_id,
            position=position,
            name=one.name,
            role=one.role.value,
            unit=one.unit,
            gauge=one.gauge,
            decimals=packed[position].decimals,
        )
        for position, one in enumerate(recorded.channels, start=1)
    ]
    session.add_all([time, *channels])
    session.flush()
    chunks = [
        {"channel_id": row.id, "number": number, "content": content}
        for row, series in zip([time, *channels], packed, strict=True)
        for number, content in enumerate(series.chunks)
    ]
    if chunks:
        session.execute(ChannelChunk.__table__.insert(), chunks)  # type: ignore[attr-defined]
