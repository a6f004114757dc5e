"""Records by which a plugin brings tables of its own and settings: see `knowngood.hookspecs`."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from alembic.operations import Operations


@dataclass(frozen=True, slots=True)
class TableStep:
    """One change of a plugin's own tables; ``number`` counts from 1.

    ``run`` is given Alembic's operations (``op.create_table``, ``op.add_column``, ``op.execute``) and works
    in one transaction: when it raises, nothing of the step is kept. A step that was given to others is never
    changed again; a change is a further step.
    """

    number: int
    run: Callable[[Operations], None]


@dataclass(frozen=True, slots=True)
class PluginTables:
    """The tables of a plugin in the library, as the steps that make them.

    ``prefix`` begins the name of every table, ``fleet_``; no other plugin can have it. The tables are read
    and written through ``store.reading()`` and ``store.writing()``. They stay while the plugin is away, and
    are no part of an exchange file.
    """

    prefix: str
    steps: tuple[TableStep, ...]


class SettingKind(StrEnum):
    """What a setting holds, and so how it is asked for."""

    TEXT = "text"
    NUMBER = "number"
    YES_NO = "yes or no"
    CHOICE = "choice"


@dataclass(frozen=True, slots=True)
class Setting:
    """Something that a user can set for a plugin on the Settings page.

    Parameters
    ----------
    key
        By which the plugin asks for it: ``host.setting("fleet", "due_days")``.
    title, help
        What the page says beside the field and below it.
    kind
        Of its value: a str for `TEXT` and `CHOICE`, a float for `NUMBER`, a bool for `YES_NO`.
    default
        Its value until somebody sets another.
    choices
        The values to choose from, where it is a choice.
    unit
        Written behind a number; the number is kept as it was entered.
    least, most
        Bounds of a number, both included.
    """

    key: str
    title: str
    kind: SettingKind
    default: str | float | bool
    choices: tuple[str, ...] = ()
    help: str = ""
    unit: str = ""
    least: float | None = None
    most: float | None = None
