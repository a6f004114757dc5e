"""Rows whose number is in a list: the list goes to the database as one value, however long it is."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from sqlalchemy import ARRAY, Integer, any_, column, func, literal, select

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import InstrumentedAttribute, Session


def among(
    session: Session, numbered: InstrumentedAttribute[Any], numbers: Sequence[int]
) -> ColumnElement[bool]:
    """Whether a column holds one of some whole numbers."""
    if session.get_bind().dialect.name == "sqlite":
        listed = func.json_each(json.dumps(list(numbers))).table_valued(column("value", Integer))
        return numbered.in_(select(listed.c.value))
    return numbered == any_(literal(list(numbers), ARRAY(Integer)))
