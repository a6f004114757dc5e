"""What every table has in common: column types that mean the same on SQLite and PostgreSQL, stamps, audit."""

from __future__ import annotations

import math
import operator
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import JSON, Boolean, DateTime, Float, Index, Integer, Text, TypeDecorator
from sqlalchemy.orm import DeclarativeBase, Mapped, declared_attr, mapped_column

from knowngood_refdata.errors import UnfitValue

if TYPE_CHECKING:
    from sqlalchemy import Dialect

_LARGEST = 2**31 - 1


class Words(TypeDecorator[str]):
    """Text of any length; what PostgreSQL cannot hold, NUL and half characters, is refused."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:  # noqa: ARG002
        """Refuse what cannot be stored everywhere."""
        return None if value is None else _storable(str(value))


class Document(TypeDecorator[dict[str, Any]]):
    """A small structure as JSON; PostgreSQL would refuse NaN and infinities where SQLite keeps them."""

    impl = JSON
    cache_ok = True

    def process_bind_param(
        self,
        value: dict[str, Any] | None,
        dialect: Dialect,  # noqa: ARG002
    ) -> dict[str, Any] | None:
        """Refuse what cannot be stored everywhere."""
        _look_through(value)
        return value


class Number(TypeDecorator[float]):
    """A finite number: SQLite would turn NaN into NULL without a word."""

    impl = Float(53)
    cache_ok = True

    def process_bind_param(self, value: float | None, dialect: Dialect) -> float | None:  # noqa: ARG002
        """Refuse NaN and infinities."""
        if value is None:
            return None
        if not math.isfinite(value):
            raise UnfitValue(f"{value} is not a finite number. Nothing was stored. Enter the number or none.")
        return float(value)


class Count(TypeDecorator[int]):
    """A whole number of 32 bits.

    SQLite would take one of numpy for binary data without a word, and PostgreSQL refuse a larger one.
    """

    impl = Integer
    cache_ok = True

    def process_bind_param(self, value: int | None, dialect: Dialect) -> int | None:  # noqa: ARG002
        """Make a plain number of it; a fraction and what is too large are refused."""
        if value is None:
            return None
        plain = operator.index(value)
        if abs(plain) > _LARGEST:
            raise UnfitValue(f"The number {plain} is too large. Nothing was stored. Correct it.")
        return plain


class Moment(TypeDecorator[datetime]):
    """A moment in UTC: SQLite would lose the offset."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Convert to UTC; a time without zone is refused."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise UnfitValue(f"The time {value} names no time zone. Nothing was stored. Add the zone.")
        return value.astimezone(UTC).replace(tzinfo=None)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Say that it is UTC."""
        return None if value is None else value.replace(tzinfo=UTC)


def _storable(text: str) -> str:
    if "\0" in text:
        raise UnfitValue(f"The text {text[:40]!r} holds a NUL character. Nothing was stored. Remove it.")
    try:
        text.encode()
    except UnicodeEncodeError as error:
        raise UnfitValue(
            f"The text {text[:40]!r} holds half a character. Nothing was stored. Type it anew."
        ) from error
    return text


def _look_through(value: object) -> None:
    """Refuse what a JSON column of one of the databases would refuse, at any depth."""
    if isinstance(value, dict):
        for key, inner in value.items():
            _storable(str(key))
            _look_through(inner)
    elif isinstance(value, list | tuple):
        for inner in value:
            _look_through(inner)
    elif isinstance(value, str):
        _storable(value)
    elif isinstance(value, float) and not math.isfinite(value):
        raise UnfitValue(f"{value} is not a finite number. Nothing was stored. Enter the number or none.")


class Base(DeclarativeBase):
    """Base of all tables."""

    type_annotation_map = {  # noqa: RUF012 - SQLAlchemy reads it as it is
        bool: Boolean,
        int: Count,
        str: Words,
        float: Number,
        datetime: Moment,
        dict[str, Any]: Document,
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
    """One change of one row: what stood before, what stands now, who did it and why.

    ``batch_id`` binds the changes of one import together.
    """

    __tablename__ = "audit"
    __table_args__ = (Index("ix_audit_row", "table_name", "row_id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    at: Mapped[datetime]
    who: Mapped[str]
    table_name: Mapped[str] = mapped_column(index=True)
    row_id: Mapped[int] = mapped_column(index=True)
    action: Mapped[str]
    before: Mapped[dict[str, Any]]
    after: Mapped[dict[str, Any]]
    why: Mapped[str]
    batch_id: Mapped[int | None] = mapped_column(index=True)
