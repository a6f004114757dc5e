"""``knowngood check LOG``: the answer without a window."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood.api import LogRefused, LogRequest
from knowngood.formatting import System
from knowngood_checkup.gather import check_session
from knowngood_checkup.words import as_json, as_text
from knowngood_refdata.quantities import Kind
from knowngood_refdata.queries import vehicles
from knowngood_refdata.records import (
    AirSource,
    Conditions,
    Instruments,
    Opening,
    PressureInstrument,
    Thermometer,
    Vehicle,
)

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from knowngood.api import Desk

AIR_SOURCES = {"recirculation": AirSource.RECIRCULATION, "fresh": AirSource.FRESH}


def configure(parser: ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument("log", type=Path, help="the recorded log, a CSV file")
    parser.add_argument(
        "--vehicle", required=True, help="its number in the library, or words: '21 skerry 1.6'"
    )
    parser.add_argument("--ambient", help="air at the condenser inlet, with unit: 31.5C")
    parser.add_argument("--intake", help="air at the cabin intake, with unit: 27C")
    parser.add_argument("--humidity", type=float, help="relative humidity in percent")
    parser.add_argument("--altitude", help="with unit: 240m, 800ft")
    parser.add_argument("--barometer", help="local air pressure, absolute, with unit: 985mbar")
    parser.add_argument("--fan-stage", type=int, help="condenser fan stage at the start of the log")
    parser.add_argument("--air-source", choices=sorted(AIR_SOURCES))
    parser.add_argument("--blower", type=float, help="blower speed in percent of full")
    parser.add_argument("--doors", choices=[one.value for one in Opening])
    parser.add_argument("--hood", choices=[one.value for one in Opening])
    gauge = "class in percent of full scale, and full scale: 1.0,10bar"
    parser.add_argument("--low-gauge", metavar="CLASS,SPAN", help=f"low side {gauge}")
    parser.add_argument("--high-gauge", metavar="CLASS,SPAN", help=f"high side {gauge}")
    parser.add_argument("--clamp", metavar="LIMIT", help="limit of error of the line probes: 1.5K, 2F")
    parser.add_argument("--technician", default="")
    parser.add_argument(
        "--map",
        action="append",
        default=[],
        metavar="COLUMN=MEANING",
        help="what a column holds, when the proposal leaves a question: 'P1=low side, psi, gauge'",
    )
    parser.add_argument("--json", action="store_true", help="print the answer as JSON, in SI")


def run(desk: Desk, arguments: Namespace) -> int:
    """Import the log, compare it, print the answer; raise `LogRefused` for what cannot be trusted."""
    vehicle = _vehicle(desk, arguments.vehicle)
    request = LogRequest(
        path=arguments.log,
        vehicle_id=vehicle.id,
        refrigerant=_refrigerant(vehicle),
        conditions=_conditions(arguments),
        instruments=_instruments(arguments),
        mapping=_mapping(arguments.map),
        technician=arguments.technician,
    )
    check = check_session(desk.store, desk.import_log(request), desk)
    if arguments.json:
        print(json.dumps(as_json(check), indent=2, allow_nan=False))
    else:
        print(as_text(check, desk.system))
    return 0


def _vehicle(desk: Desk, wanted: str) -> Vehicle:
    if wanted.isdecimal():
        found = [one for one in vehicles.search(desk.store, "") if one.id == int(wanted)]
    else:
        found = list(vehicles.search(desk.store, wanted))
    if len(found) == 1:
        return found[0]
    if not found:
        raise LogRefused(
            f"No vehicle in the library fits '{wanted}'. Nothing was imported. "
            "Add the vehicle on the Vehicle specs page, or use other words."
        )
    names = "\n".join(f"  {one.id}: {one.name}" for one in found[:10])
    raise LogRefused(
        f"{len(found)} vehicles fit '{wanted}'. Nothing was imported. Name one by its number:\n{names}"
    )


def _refrigerant(vehicle: Vehicle) -> str:
    if vehicle.refrigerant is None:
        raise LogRefused(
            f"The library holds no refrigerant for {vehicle.name}. Nothing was imported. "
            "Enter it on the Vehicle specs page, from the under-hood label."
        )
    return vehicle.refrigerant


def _conditions(arguments: Namespace) -> Conditions:
    return Conditions(
        ambient_k=_parsed(arguments.ambient, Kind.TEMPERATURE),
        intake_k=_parsed(arguments.intake, Kind.TEMPERATURE),
        relative_humidity=_percent(arguments.humidity),
        barometer_pa=_parsed(arguments.barometer, Kind.PRESSURE),
        altitude_m=_parsed(arguments.altitude, Kind.LENGTH),
        blower=_percent(arguments.blower),
        air_source=AIR_SOURCES.get(arguments.air_source),
        doors=Opening(arguments.doors) if arguments.doors else None,
        hood=Opening(arguments.hood) if arguments.hood else None,
        fan_stage=arguments.fan_stage,
    )


def _instruments(arguments: Namespace) -> Instruments:
    usual = Instruments()
    return replace(
        usual,
        low=_gauge(arguments.low_gauge, usual.low),
        high=_gauge(arguments.high_gauge, usual.high),
        line=_clamp(arguments.clamp, usual.line),
    )


def _gauge(text: str | None, usual: PressureInstrument) -> PressureInstrument:
    if text is None:
        return usual
    percent, comma, span = text.partition(",")
    try:
        class_percent = float(percent.strip().removesuffix("%"))
    except ValueError:
        class_percent = 0.0
    has_unit = any(character.isalpha() for character in span)
    if not comma or not has_unit or not 0.0 < class_percent <= 10.0:
        raise LogRefused(
            f"'{text}' is no gauge: write its class in percent and its full scale with unit, '1.0,10bar'. "
            "Nothing was imported."
        )
    full_scale_pa = formatting.parse(span, Kind.PRESSURE, System.SI, difference=True)
    if full_scale_pa <= 0.0:
        raise LogRefused(f"'{span.strip()}' is no full scale. Nothing was imported.")
    return PressureInstrument(class_percent, full_scale_pa, f"class {class_percent:g}, {span.strip()}")


def _clamp(text: str | None, usual: Thermometer) -> Thermometer:
    if text is None:
        return usual
    limit_k = formatting.parse(text, Kind.TEMPERATURE_DIFFERENCE, System.SI)
    if not 0.0 < limit_k <= 20.0:
        raise LogRefused(f"'{text}' is no limit of error of a probe. Nothing was imported.")
    return Thermometer(limit_k, f"± {text.strip()}")


def _parsed(text: str | None, kind: Kind) -> float | None:
    return None if text is None else formatting.parse(text, kind, System.SI, absolute=True)


def _percent(value: float | None) -> float | None:
    if value is None:
        return None
    if not 0.0 <= value <= 100.0:
        raise LogRefused(f"{value:g} % lies outside 0 to 100 %. Nothing was imported.")
    return value / 100.0


def _mapping(pairs: list[str]) -> dict[str, str]:
    mapping = {}
    for pair in pairs:
        column, equals, meaning = pair.partition("=")
        if not equals or not meaning.strip():
            raise LogRefused(
                f"'{pair}' does not say what the column holds. Nothing was imported. "
                "Write it as 'P1=low side, psi, gauge'."
            )
        mapping[column.strip()] = meaning.strip()
    return mapping
