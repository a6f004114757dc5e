"""Recorded sessions, their samples and what was found in them."""

from __future__ import annotations

from datetime import datetime  # noqa: TC003 - the mapper reads the annotations
from typing import Any

from sqlalchemy import ForeignKey, LargeBinary, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from knowngood_refdata.models.base import Base, Stamped


class ConditionColumns:
    """The columns of `knowngood_refdata.records.Conditions`, by the same names."""

    ambient_k: Mapped[float | None]
    intake_k: Mapped[float | None]
    relative_humidity: Mapped[float | None]
    barometer_pa: Mapped[float | None]
    altitude_m: Mapped[float | None]
    blower: Mapped[float | None]
    air_source: Mapped[str | None]
    doors: Mapped[str | None]
    hood: Mapped[str | None]
    sun: Mapped[bool | None]
    start_fan_stage: Mapped[int | None]
    run_time_s: Mapped[float | None]


class SourceFile(Base):
    """A log file as it came, compressed; kept so that a mapping mistake can be mended later."""

    __tablename__ = "source_file"

    id: Mapped[int] = mapped_column(primary_key=True)
    sha256: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    size: Mapped[int]
    content: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)


class SessionRow(ConditionColumns, Stamped, Base):
    """A recorded session, or a cut of one.

    A cut has no channels of its own: its samples are those of ``parent_id`` between ``from_s`` and
    ``until_s``, both included, on the parent's time axis. A parent is never a cut itself.
    """

    __tablename__ = "session"

    id: Mapped[int] = mapped_column(primary_key=True)
    configuration_id: Mapped[int | None] = mapped_column(ForeignKey("configuration.id"), index=True)
    unit_id: Mapped[int | None] = mapped_column(ForeignKey("unit.id"), index=True)
    source_file_id: Mapped[int] = mapped_column(ForeignKey("source_file.id"), index=True)
    title: Mapped[str]
    started_at: Mapped[datetime | None]
    refrigerant: Mapped[str]
    instruments: Mapped[dict[str, Any]]
    duration_s: Mapped[float]
    sample_count: Mapped[int]
    technician: Mapped[str]
    note: Mapped[str]
    parent_id: Mapped[int | None] = mapped_column(ForeignKey("session.id"), index=True)
    from_s: Mapped[float | None]
    until_s: Mapped[float | None]
    source: Mapped[SourceFile] = relationship(lazy="joined", innerjoin=True)


class ChannelRow(Base):
    """One recorded channel; the time axis is the channel at position 0 with the role ``time``."""

    __tablename__ = "channel"
    __table_args__ = (UniqueConstraint("session_id", "position", name="uq_channel"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    session_id: Mapped[int] = mapped_column(ForeignKey("session.id", ondelete="CASCADE"))
    position: Mapped[int]
    name: Mapped[str]
    role: Mapped[str]
    unit: Mapped[str]
    gauge: Mapped[bool]
    decimals: Mapped[int]


class ChannelChunk(Base):
    """Part of a channel's samples, see `knowngood_refdata.series`."""

    __tablename__ = "channel_chunk"

    channel_id: Mapped[int] = mapped_column(ForeignKey("channel.id", ondelete="CASCADE"), primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True)
    content: Mapped[bytes] = mapped_column(LargeBinary)


class ImportMapping(Stamped, Base):
    """What the columns of logs with one header meant when a user last confirmed it."""

    __tablename__ = "import_mapping"

    id: Mapped[int] = mapped_column(primary_key=True)
    signature: Mapped[str] = mapped_column(unique=True)
    mapping: Mapped[dict[str, Any]]


class HandWindow(Stamped, Base):
    """A steady window as a person set it. What was worked out for it stands in its `WindowRow`."""

    __tablename__ = "hand_window"

    id: Mapped[int] = mapped_column(primary_key=True)
    session_id: Mapped[int] = mapped_column(ForeignKey("session.id", ondelete="CASCADE"), index=True)
    start_s: Mapped[float]
    end_s: Mapped[float]
    label: Mapped[str]


class Annotation(Stamped, Base):
    """What a person noted at a moment of a session, or over a stretch of it."""

    __tablename__ = "annotation"

    id: Mapped[int] = mapped_column(primary_key=True)
    session_id: Mapped[int] = mapped_column(ForeignKey("session.id", ondelete="CASCADE"), index=True)
    kind: Mapped[str]
    at_s: Mapped[float]
    until_s: Mapped[float | None]
    text: Mapped[str]


class WindowRow(Base):
    """A steady window with what was worked out for it; ``behaviour`` by quantity."""

    __tablename__ = "steady_window"

    id: Mapped[int] = mapped_column(primary_key=True)
    session_id: Mapped[int] = mapped_column(ForeignKey("session.id", ondelete="CASCADE"), index=True)
    hand_window_id: Mapped[int | None] = mapped_column(ForeignKey("hand_window.id"), index=True)
    start_s: Mapped[float]
    end_s: Mapped[float]
    engine_rpm: Mapped[float | None]
    fan_stage: Mapped[int | None]
    label: Mapped[str]
    by_hand: Mapped[bool]
    behaviour: Mapped[dict[str, Any]]
    values: Mapped[list[WindowValue]] = relationship(lazy="selectin", cascade="all, delete-orphan")


class WindowValue(Base):
    """A settled value of a steady window."""

    __tablename__ = "window_value"

    window_id: Mapped[int] = mapped_column(
        ForeignKey("steady_window.id", ondelete="CASCADE"), primary_key=True
    )
    quantity: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[float]
    standard_uncertainty: Mapped[float]


class EventRow(Base):
    """An event that the program found; ``evidence`` is empty where none was kept."""

    __tablename__ = "event"

    id: Mapped[int] = mapped_column(primary_key=True)
    session_id: Mapped[int] = mapped_column(ForeignKey("session.id", ondelete="CASCADE"), index=True)
    kind: Mapped[str]
    at_s: Mapped[float]
    until_s: Mapped[float | None]
    text: Mapped[str]
    evidence: Mapped[dict[str, Any]]


class ResponseRow(Base):
    """The response to engine speed between two steady windows."""

    __tablename__ = "response"

    id: Mapped[int] = mapped_column(primary_key=True)
    session_id: Mapped[int] = mapped_column(ForeignKey("session.id", ondelete="CASCADE"), index=True)
    from_rpm: Mapped[float]
    to_rpm: Mapped[float]
    low_pa: Mapped[float]
    low_standard_uncertainty: Mapped[float]
    high_pa: Mapped[float]
    high_standard_uncertainty: Mapped[float]
    low: Mapped[str]
    high: Mapped[str]
    same_fan_stage: Mapped[bool]
    remark: Mapped[str]
    low_per_octave: Mapped[float | None]
    low_per_octave_standard_uncertainty: Mapped[float | None]
    high_per_octave: Mapped[float | None]
    high_per_octave_standard_uncertainty: Mapped[float | None]
    from_at_s: Mapped[float | None]
    to_at_s: Mapped[float | None]


class SessionFinding(Base):
    """What was found of a session as a whole; ``found`` holds what is only ever read together."""

    __tablename__ = "session_finding"

    session_id: Mapped[int] = mapped_column(ForeignKey("session.id", ondelete="CASCADE"), primary_key=True)
    stroke: Mapped[str | None]
    found: Mapped[dict[str, Any]]
