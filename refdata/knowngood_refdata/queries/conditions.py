"""Conditions and instruments between records and columns."""

from __future__ import annotations

from dataclasses import asdict, fields
from typing import TYPE_CHECKING, Any

from knowngood_refdata.records import (
    AirSource,
    Conditions,
    Instruments,
    Opening,
    PressureInstrument,
    Thermometer,
)

if TYPE_CHECKING:
    from knowngood_refdata.models.sessions import ConditionColumns

_COLUMN = {"fan_stage": "start_fan_stage"}
_WORDS = {"air_source": AirSource, "doors": Opening, "hood": Opening}


def columns_of(conditions: Conditions) -> dict[str, Any]:
    """The conditions by column name."""
    return {_COLUMN.get(one.name, one.name): getattr(conditions, one.name) for one in fields(conditions)}


def conditions_of(row: ConditionColumns) -> Conditions:
    """The conditions in a row."""
    values = {one.name: getattr(row, _COLUMN.get(one.name, one.name)) for one in fields(Conditions)}
    for name, word in _WORDS.items():
        if values[name] is not None:
            values[name] = word(values[name])
    return Conditions(**values)


def instruments_to_json(instruments: Instruments) -> dict[str, Any]:
    """The instruments as JSON can hold them."""
    return asdict(instruments)


def instruments_from_json(data: dict[str, Any]) -> Instruments:
    """The instruments that were stored."""
    return Instruments(
        low=PressureInstrument(**data["low"]),
        high=PressureInstrument(**data["high"]),
        line=Thermometer(**data["line"]),
        air=Thermometer(**data["air"]),
    )
