"""Maker, system family, vehicle configuration, unit, and spec values."""

from __future__ import annotations

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from knowngood_refdata.models.base import Base, Stamped


class Maker(Stamped, Base):
    """Whoever builds vehicles."""

    __tablename__ = "maker"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)


class SystemFamily(Stamped, Base):
    """Vehicles of a maker that share one design of the A/C system."""

    __tablename__ = "system_family"
    __table_args__ = (UniqueConstraint("maker_id", "name", name="uq_system_family"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    maker_id: Mapped[int] = mapped_column(ForeignKey("maker.id"))
    name: Mapped[str]


class Configuration(Stamped, Base):
    """A vehicle configuration; ``search_text`` holds what it can be found by, case folded."""

    __tablename__ = "configuration"

    id: Mapped[int] = mapped_column(primary_key=True)
    maker_id: Mapped[int] = mapped_column(ForeignKey("maker.id"), index=True)
    family_id: Mapped[int | None] = mapped_column(ForeignKey("system_family.id"), index=True)
    make: Mapped[str]
    model: Mapped[str]
    engine: Mapped[str]
    year_from: Mapped[int]
    year_to: Mapped[int | None]
    market: Mapped[str]
    evaporators: Mapped[str]
    notes: Mapped[str]
    search_text: Mapped[str]
    maker: Mapped[Maker] = relationship(lazy="joined", innerjoin=True)
    family: Mapped[SystemFamily | None] = relationship(lazy="joined")
    specs: Mapped[list[SpecValueRow]] = relationship(lazy="selectin", order_by="SpecValueRow.id")


class UnitRow(Stamped, Base):
    """One real car."""

    __tablename__ = "unit"

    id: Mapped[int] = mapped_column(primary_key=True)
    configuration_id: Mapped[int] = mapped_column(ForeignKey("configuration.id"), index=True)
    vin: Mapped[str]
    fleet_number: Mapped[str]
    note: Mapped[str]


class SpecValueRow(Stamped, Base):
    """One value of one field from one source."""

    __tablename__ = "spec_value"

    id: Mapped[int] = mapped_column(primary_key=True)
    configuration_id: Mapped[int] = mapped_column(ForeignKey("configuration.id"), index=True)
    field: Mapped[str]
    value: Mapped[float | None]
    tolerance: Mapped[float | None]
    as_printed: Mapped[str]
    source_kind: Mapped[str]
    citation: Mapped[str]
    revision: Mapped[str]
    reviewed_by: Mapped[str]
