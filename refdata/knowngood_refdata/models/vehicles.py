"""Maker, system family, vehicle configuration, unit, spec values, and what belongs to a record of them."""

from __future__ import annotations

from datetime import datetime  # noqa: TC003 - the mapper reads the annotations
from typing import Any

from sqlalchemy import ForeignKey, Index, LargeBinary, UniqueConstraint, text
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
    """A vehicle configuration.

    ``search_text`` holds what it can be found by, ``sort_key`` its place in the list, both case folded. A
    build-date split is told by the first and last month, ``2021-06``, empty where there is none.
    """

    __tablename__ = "configuration"
    __table_args__ = (
        Index("ix_configuration_sort_key", "sort_key", "id"),
        Index(
            "ix_configuration_deleted",
            "deleted_at",
            sqlite_where=text("deleted_at IS NOT NULL"),
            postgresql_where=text("deleted_at IS NOT NULL"),
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    maker_id: Mapped[int] = mapped_column(ForeignKey("maker.id"), index=True)
    family_id: Mapped[int | None] = mapped_column(ForeignKey("system_family.id"), index=True)
    make: Mapped[str]
    model: Mapped[str]
    engine: Mapped[str]
    year_from: Mapped[int]
    year_to: Mapped[int | None]
    build_from: Mapped[str]
    build_to: Mapped[str]
    generation: Mapped[str]
    body: Mapped[str]
    vin_pattern: Mapped[str]
    market: Mapped[str]
    evaporators: Mapped[str]
    notes: Mapped[str]
    search_text: Mapped[str]
    sort_key: Mapped[str]
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
    page: Mapped[str]
    reviewed_by: Mapped[str]
    reviewed_at: Mapped[datetime | None]


class SpecDecision(Stamped, Base):
    """Which of several values of a field counts, decided by someone with a reason."""

    __tablename__ = "spec_decision"
    __table_args__ = (UniqueConstraint("configuration_id", "field", name="uq_spec_decision"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    configuration_id: Mapped[int] = mapped_column(ForeignKey("configuration.id"), index=True)
    field: Mapped[str]
    spec_value_id: Mapped[int] = mapped_column(ForeignKey("spec_value.id"))
    why: Mapped[str]


class FieldDefinition(Stamped, Base):
    """A spec field that the shop has added; ``choices`` holds ``{"offered": [...]}``."""

    __tablename__ = "field_definition"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    title: Mapped[str]
    section: Mapped[str]
    kind: Mapped[str]
    choices: Mapped[dict[str, Any]]
    position: Mapped[int]


class PictureRow(Stamped, Base):
    """A picture of a label, a port, a clamp place; ``shows`` says of what."""

    __tablename__ = "picture"

    id: Mapped[int] = mapped_column(primary_key=True)
    configuration_id: Mapped[int] = mapped_column(ForeignKey("configuration.id"), index=True)
    unit_id: Mapped[int | None] = mapped_column(ForeignKey("unit.id"))
    shows: Mapped[str]
    name: Mapped[str]
    sha256: Mapped[str]
    media_type: Mapped[str]
    width: Mapped[int]
    height: Mapped[int]
    content: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)
    thumbnail: Mapped[bytes] = mapped_column(LargeBinary)


class PerformanceTableRow(Stamped, Base):
    """A published performance table of a configuration or of a whole family, in its own shape."""

    __tablename__ = "performance_table"

    id: Mapped[int] = mapped_column(primary_key=True)
    configuration_id: Mapped[int | None] = mapped_column(ForeignKey("configuration.id"), index=True)
    family_id: Mapped[int | None] = mapped_column(ForeignKey("system_family.id"), index=True)
    title: Mapped[str]
    circuit: Mapped[str]
    generic: Mapped[bool]
    setup: Mapped[dict[str, Any]]
    content: Mapped[dict[str, Any]]
    source_kind: Mapped[str]
    citation: Mapped[str]
    revision: Mapped[str]
    page: Mapped[str]
    reviewed_by: Mapped[str]


class ImportBatch(Stamped, Base):
    """One import: the file it came from and how many rows became what."""

    __tablename__ = "import_batch"

    id: Mapped[int] = mapped_column(primary_key=True)
    source_name: Mapped[str]
    sha256: Mapped[str] = mapped_column(index=True)
    counts: Mapped[dict[str, Any]]
    undone_at: Mapped[datetime | None]
