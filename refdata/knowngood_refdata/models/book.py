"""The book of readings."""

from __future__ import annotations

from datetime import datetime  # noqa: TC003 - the mapper reads the annotations

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from knowngood_refdata.models.base import Base, Stamped
from knowngood_refdata.models.sessions import ConditionColumns
from knowngood_refdata.models.vehicles import UnitRow  # noqa: TC001 - as above


class ReadingRow(ConditionColumns, Stamped, Base):
    """A steady point with its conditions and its standing."""

    __tablename__ = "reading"

    id: Mapped[int] = mapped_column(primary_key=True)
    configuration_id: Mapped[int] = mapped_column(ForeignKey("configuration.id"), index=True)
    unit_id: Mapped[int | None] = mapped_column(ForeignKey("unit.id"), index=True)
    session_id: Mapped[int | None] = mapped_column(ForeignKey("session.id"), index=True)
    taken_at: Mapped[datetime]
    engine_rpm: Mapped[float | None]
    fan_stage: Mapped[int | None]
    standing: Mapped[str] = mapped_column(index=True)
    decided_by: Mapped[str]
    decided_at: Mapped[datetime | None]
    decided_why: Mapped[str]
    unit: Mapped[UnitRow | None] = relationship(lazy="joined")
    values: Mapped[list[ReadingValue]] = relationship(lazy="selectin", cascade="all, delete-orphan")


class ReadingValue(Base):
    """One quantity of a reading."""

    __tablename__ = "reading_value"

    reading_id: Mapped[int] = mapped_column(ForeignKey("reading.id", ondelete="CASCADE"), primary_key=True)
    quantity: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[float]
    standard_uncertainty: Mapped[float]
