"""The fields of the records in an exchange file, and what a kind of record is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.exchange.forms import COUNT, FLAG, MOMENT, NUMBER, TEXT, Form, choice
from knowngood_refdata.models.base import Audit, Base, Stamped
from knowngood_refdata.records import AirSource, Opening, Quantity, SourceKind

if TYPE_CHECKING:
    from collections.abc import Iterator


@dataclass(frozen=True, slots=True)
class Field:
    """One field: its name in the file, its column, its form; ``to`` names the kind that it refers to."""

    name: str
    form: Form
    column: str
    optional: bool = False
    to: str = ""
    owner: bool = False
    """Whether the record is part of what it refers to, and goes where that goes."""
    needed: bool = False
    """Whether the record says nothing without what it refers to, and stays where that stays."""


STAMPS = (
    Field("entered_at", MOMENT, "created_at", optional=True),
    Field("entered_by", TEXT, "created_by", optional=True),
    Field("changed_at", MOMENT, "changed_at", optional=True),
    Field("changed_by", TEXT, "changed_by", optional=True),
    Field("removed_at", MOMENT, "deleted_at", optional=True),
)
"""The fields of every record that people edit."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of record: its name in the file, its table, its fields.

    Attributes
    ----------
    unique
        Fields that no two records share.
    met
        Whether a record meets one of the library that has the same ``unique`` fields, and is that one.
    heavy
        Whether its records hold files or samples.
    """

    name: str
    model: type[Base]
    fields: tuple[Field, ...]
    unique: tuple[str, ...] = ()
    met: bool = False
    heavy: bool = False

    @property
    def all_fields(self) -> tuple[Field, ...]:
        """Its fields with those of who and when."""
        return (*self.fields, *STAMPS) if self.stamped else self.fields

    @property
    def has_id(self) -> bool:
        """Whether records of other kinds can refer to it by an id."""
        return "id" in self.model.__table__.c and self.model is not Audit

    @property
    def stamped(self) -> bool:
        """Whether it says who entered and changed it and when."""
        return issubclass(self.model, Stamped)

    @property
    def references(self) -> Iterator[Field]:
        """The fields that refer to other records."""
        return (one for one in self.fields if one.to)


def plain(form: Form, *names: str, optional: bool = False) -> tuple[Field, ...]:
    """Fields of one form, named like their columns."""
    return tuple(Field(name, form, name, optional) for name in names)


def texts(*names: str) -> tuple[Field, ...]:
    """Fields that hold text."""
    return plain(TEXT, *names)


def ref(name: str, column: str, *, optional: bool = False, owner: bool = False, to: str = "") -> Field:
    """A field that refers to another record."""
    return Field(name, COUNT, column, optional, to or name, owner)


CONDITIONS = (
    *plain(
        NUMBER, "ambient_k", "intake_k", "relative_humidity", "barometer_pa", "altitude_m", "blower",
        "run_time_s", optional=True,
    ),
    *plain(choice(AirSource), "air_source", optional=True),
    *plain(choice(Opening), "doors", "hood", optional=True),
    *plain(FLAG, "sun", optional=True),
    *plain(COUNT, "start_fan_stage", optional=True),
)  # fmt: skip
SOURCE = (*plain(choice(SourceKind), "source_kind"), *texts("citation", "revision", "page", "reviewed_by"))
OF_VEHICLE = ref("vehicle", "configuration_id", owner=True)
OF_SESSION = ref("session", "session_id", owner=True)
VALUE = (*plain(choice(Quantity), "quantity"), *plain(NUMBER, "value", "standard_uncertainty"))
