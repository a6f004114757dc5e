"""What every table has in common: column types that mean the same on SQLite and PostgreSQL, stamps, audit."""

from __future__ import annotations

import math
import operator
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import JSON, Boolean, DateTime, Float, Integer, Text, TypeDecorator
from sqlalchemy.orm import DeclarativeBase, Mapped, declared_attr, mapped_column

if TYPE_CHECKING:
    from sqlalchemy import Dialect


class UnfitValue(ValueError):  # noqa: N818 - reads as what it is
    """A value that one of the databases would change or refuse: it is refused before it gets there."""


class Words(TypeDecorator[str]):
    """Text of any length; NUL characters, which PostgreSQL cannot hold, are refused."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:  # noqa: ARG002
        """Refuse what cannot be stored everywhere."""
        if value is not None and "\0" in value:
            raise UnfitValue(f"the text {value[:40]!r} holds a NUL character; nothing was stored")
        return None if value is None else str(value)


class Number(TypeDecorator[float]):
    """A finite number: SQLite would turn NaN into NULL without a word."""

    impl = Float(53)
    cache_ok = True

    def process_bind_param(self, value: float | None, dialect: Dialect) -> float | None:  # noqa: ARG002
        """Refuse NaN and infinities."""
        if value is None:
            return None
        if not math.isfinite(value):
            raise UnfitValue(f"{value} is not a finite number; nothing was stored")
        return float(value)


class Count(TypeDecorator[int]):
    """A whole number: SQLite would take one of numpy for binary data without a word."""

    impl = Integer
    cache_ok = True

    def process_bind_param(self, value: int | None, dialect: Dialect) -> int | None:  # noqa: ARG002
        """Make a plain number of it; a fraction is refused."""
        return None if value is None else operator.index(value)


class Moment(TypeDecorator[datetime]):
    """A moment in UTC: SQLite would lose the offset."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Convert to UTC; a time without zone is refused."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise UnfitValue(f"the time {value} names no zone; nothing was stored")
        return value.astimezone(UTC).replace(tzinfo=None)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Say that it is UTC."""
        return None if value is None else value.replace(tzinfo=UTC)


class Base(DeclarativeBase):
    """Base of all tables."""

    type_annotation_map = {  # noqa: RUF012 - SQLAlchemy reads it as it is
        bool: Boolean,
        int: Count,
        str: Words,
        float: Number,
        datetime: Moment,
        dict[str, Any]: JSON,
    }


class Stamped:
    """A row that two workstations can edit: version for optimistic locking, and who made and changed it when.

    A deleted row is only marked: nothing that was entered is lost.
    """

    version: Mapped[int]
    created_at: Mapped[datetime]
    created_by: Mapped[str]
    changed_at: Mapped[datetime]
    changed_by: Mapped[str]
    deleted_at: Mapped[datetime | None]

    @declared_attr.directive
    @classmethod
    def __mapper_args__(cls) -> dict[str, Any]:
        return {"version_id_col": cls.version}


class Audit(Base):
    """One change of one row: what stood before, what stands now, who did it and why."""

    __tablename__ = "audit"

    id: Mapped[int] = mapped_column(primary_key=True)
    at: Mapped[datetime]
    who: Mapped[str]
    table_name: Mapped[str] = mapped_column(index=True)
    row_id: Mapped[int] = mapped_column(index=True)
    action: Mapped[str]
    before: Mapped[dict[str, Any]]
    after: Mapped[dict[str, Any]]
    why: Mapped[str]
