"""The conditions of a reading as numbers that a linear model takes."""

from __future__ import annotations

import math
from enum import IntEnum
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import AirSource, Opening

if TYPE_CHECKING:
    from knowngood_refdata.expected.match import Point
    from knowngood_refdata.expected.model.nesting import Floats
    from knowngood_refdata.records import Conditions


class Covariate(IntEnum):
    """Places of the conditions in a row of covariates."""

    AMBIENT = 0
    WET_BULB = 1
    ENGINE_SPEED = 2
    FAN_STAGE = 3
    BLOWER = 4
    AIR_SOURCE = 5
    DOORS = 6
    HOOD = 7
    SUN = 8


CONTINUOUS = (
    Covariate.AMBIENT,
    Covariate.WET_BULB,
    Covariate.ENGINE_SPEED,
    Covariate.FAN_STAGE,
    Covariate.BLOWER,
)
_FRESH, _OPEN = AirSource.FRESH, Opening.OPEN
SWITCHES = (Covariate.AIR_SOURCE, Covariate.DOORS, Covariate.HOOD, Covariate.SUN)

STEP = np.array([6.0, 4.0, 0.7, 1.0, 0.2, 1.0, 1.0, 1.0, 1.0])
"""The size of a usual difference: kelvins, kelvins, doublings of engine speed, stages, share of full flow."""


def raw(conditions: Conditions, engine_rpm: float | None, fan_stage: int | None) -> tuple[float | None, ...]:
    """Ambient [K], intake [K], humidity, octave, stage, blower and four switches; None: not recorded.

    The wet bulb takes the place of intake and humidity in `with_wet_bulb`, for many rows at once.
    """
    ambient, intake = conditions.ambient_k, conditions.intake_k
    source, doors, hood = conditions.air_source, conditions.doors, conditions.hood
    return (
        ambient,
        ambient if intake is None else intake,
        conditions.relative_humidity,
        math.log2(engine_rpm) if engine_rpm is not None and engine_rpm > 0.0 else None,
        fan_stage,
        conditions.blower,
        None if source is None else source is _FRESH,
        None if doors is None else doors is _OPEN,
        None if hood is None else hood is _OPEN,
        conditions.sun,
    )


def with_wet_bulb(rows: Floats) -> Floats:
    """Covariates (9, n) from raw rows (10, n): the wet bulb stands for intake and humidity."""
    return np.vstack([rows[0], wet_bulb_k(rows[1], rows[2]), rows[3:]])


def of_point(point: Point) -> Floats:
    """Covariates (9,) of one point."""
    row = np.array(raw(point.conditions, point.engine_rpm, point.fan_stage), dtype=np.float64)
    return with_wet_bulb(row[:, None])[:, 0]


def wet_bulb_k(dry_bulb_k: Floats, relative_humidity: Floats) -> Floats:
    """Wet bulb [K] near sea level, for many readings at once; NaN where something is not recorded.

    Stull, J. Appl. Meteorology and Climatology 50 (2011) 2267, equation 1, -20 °C to 50 °C and 5 % to 99 %,
    within 1 K: 20 °C and 50 % give 13.7 °C. As a covariate it needs no more; `knowngood_refdata.moist_air`
    has the exact one.

    >>> round(float(wet_bulb_k(np.array([293.15]), np.array([0.5]))[0]) - 273.15, 1)
    13.7
    """
    t = np.clip(dry_bulb_k - ZERO_CELSIUS_K, -20.0, 60.0)
    h = 100.0 * np.clip(relative_humidity, 0.02, 1.0)
    celsius = (
        t * np.arctan(0.151977 * np.sqrt(h + 8.313659))
        + np.arctan(t + h)
        - np.arctan(h - 1.676331)
        + 0.00391838 * h**1.5 * np.arctan(0.023101 * h)
        - 4.686035
    )
    return celsius + ZERO_CELSIUS_K
