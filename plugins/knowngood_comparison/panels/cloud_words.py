"""Known-good readings in words: one of them, how many there are, and what they show under like conditions."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from knowngood.formatting import MISSING
from knowngood_comparison.core.clouds import cars, ranges
from knowngood_comparison.core.names import BOTH
from knowngood_comparison.panels.rich_text import TABLE, quiet
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from collections.abc import Iterator

    from knowngood.units import Units
    from knowngood_comparison.core.clouds import Cloud, Range
    from knowngood_refdata.records import Reading

UNKNOWN = "not recorded"
_NAME, _SPAN, _MEDIAN = "34%", "22%", "11%"


def reading_words(cloud: Cloud, place: int, units: Units) -> str:
    """One reading: the car, its conditions, and both saturation temperatures."""
    reading = cloud.readings[place]
    low = units.text(float(cloud.evaporating_k[place]), Kind.TEMPERATURE)
    high = units.text(float(cloud.condensing_k[place]), Kind.TEMPERATURE)
    car = reading.unit_name or "car not named"
    conditions = ", ".join(_conditions(reading, units))
    return f"{cloud.refrigerant}, {car}: evaporating {low}, condensing {high}; {conditions}."


def cloud_words(cloud: Cloud, units: Units) -> str:
    """How many readings of how many cars, over which ambient, and how many of them have a like one."""
    if not cloud.readings:
        return f"{cloud.refrigerant}: no known-good reading with both pressures."
    ambient = [one.conditions.ambient_k for one in cloud.readings if one.conditions.ambient_k is not None]
    span = ""
    if ambient:
        least, most = (units.text(one, Kind.TEMPERATURE) for one in (min(ambient), max(ambient)))
        span = f", ambient {least} to {most}"
    unknown = len(cloud.readings) - len(ambient)
    lacking = f", {unknown} without an ambient" if unknown else ""
    left_out = f"; {cloud.left_out} left out for want of a pressure on the curve" if cloud.left_out else ""
    like = len(cloud.like_readings)
    return (
        f"{cloud.refrigerant}: {counted(len(cloud.readings), cloud.cars)}{span}{lacking}{left_out}; "
        f"{like} of them under like conditions."
    )


def counted(readings: int, cars: int) -> str:
    """How many readings of how many cars."""
    return f"{readings} reading{'s' * (readings != 1)} of {cars} car{'s' * (cars != 1)}"


def ranges_html(pair: tuple[Cloud, Cloud], units: Units) -> str:
    """Least, most and median of each quantity under like conditions, the refrigerants apart."""
    if not all(cloud.alike.any() for cloud in pair):
        return ""
    behind = [(len(cloud.like_readings), cars(cloud.like_readings)) for cloud in pair]
    heads = "".join(
        f'<th align="left" colspan="2">{name}: {quiet(counted(*one))}</th>'
        for name, one in zip(BOTH, behind, strict=True)
    )
    rows = "".join(
        f'<tr><td width="{_NAME}">{escape(row.name)}, {units.label(row.kind)}</td>'
        + "".join(_range(one, row.kind, units, *count) for one, count in zip(row.ranges, behind, strict=True))
        + "</tr>"
        for row in ranges(pair)
    )
    parts = "".join(f"<td>{quiet(part)}</td>" for part in ("", *("least to most", "median") * 2))
    return f"{TABLE}<tr><th></th>{heads}</tr><tr>{parts}</tr>{rows}</table>"


def _range(found: Range | None, kind: Kind, units: Units, readings: int, named: int) -> str:
    """Two cells: the range and the median; fewer readings than the column's head says are named."""
    if found is None:
        return f'<td colspan="2">{quiet(MISSING)}</td>'
    unit = units.label(kind)
    least, median, most = (
        units.text(one, kind).removesuffix(unit).strip() for one in (found.least, found.median, found.most)
    )
    fewer = (found.readings, found.cars) != (readings, named)
    behind = f" {quiet(f'({counted(found.readings, found.cars)})')}" if fewer else ""
    return f'<td width="{_SPAN}">{least} to {most}{behind}</td><td width="{_MEDIAN}"><b>{median}</b></td>'


def _conditions(reading: Reading, units: Units) -> Iterator[str]:
    held = reading.conditions
    yield f"ambient {UNKNOWN if held.ambient_k is None else units.text(held.ambient_k, Kind.TEMPERATURE)}"
    humidity = held.relative_humidity
    yield f"humidity {UNKNOWN if humidity is None else units.text(humidity, Kind.FRACTION)}"
    yield "engine speed " + (UNKNOWN if reading.engine_rpm is None else f"{reading.engine_rpm:.0f} rpm")
    yield f"fan stage {UNKNOWN if reading.fan_stage is None else reading.fan_stage}"
    yield f"air source {held.air_source or UNKNOWN}"
