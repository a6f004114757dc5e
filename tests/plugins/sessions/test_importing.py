"""The way from a file to a stored session: refusals, nothing half, a file that is known already."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood.api import LogRefused, LogRequest
from knowngood.formatting import System
from knowngood_refdata.drafts import VehicleDraft
from knowngood_refdata.queries import sessions, vehicles
from knowngood_refdata.records import (
    Channel,
    Conditions,
    EventKind,
    Instruments,
    Quantity,
    Recording,
    Role,
)
from knowngood_refdata.store import Store
from knowngood_sessions import plugin
from knowngood_sessions.core.mapping.importing import check, completed, contradiction, prepare, to_recording
from knowngood_sessions.library import prepare_for

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from tests.plugins.sessions.conftest import Kit
PLAIN = "Time (s),P low (psig),P high (psig)"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = Store.open(tmp_path / "library.sqlite", user="R. Moss")
    yield opened
    opened.close()


@pytest.fixture
def vehicle_id(store: Store) -> int:
    return vehicles.add_vehicle(store, VehicleDraft("Tarn", "Skerry", "1.6 petrol", 2021))


@pytest.fixture
def log(two_plateau_csv: bytes, tmp_path: Path) -> Path:
    path = tmp_path / "skerry idle 2500 idle.csv"
    path.write_bytes(two_plateau_csv)
    return path


def request(
    path: Path, vehicle_id: int | None, mapping: Mapping[str, str] | None = None, refrigerant: str = "R-134a"
) -> LogRequest:
    return LogRequest(
        path, vehicle_id, refrigerant, Conditions(fan_stage=1), Instruments(), mapping or {}, "R. Moss"
    )


def refusal(store: Store, path: Path, **given: object) -> str:
    with pytest.raises(LogRefused) as caught:
        plugin.import_log(store, request(path, None, **given))  # type: ignore[arg-type]
    assert sessions.list_sessions(store) == ()
    return str(caught.value)


def rows(*values: str, count: int = 60) -> str:
    return "".join(f"{index},{','.join(values)}\n" for index in range(count))


def test_a_log_becomes_a_session_with_samples_file_and_findings(
    store: Store, vehicle_id: int, log: Path
) -> None:
    session_id = plugin.import_log(store, request(log, vehicle_id))
    assert session_id is not None
    info = sessions.info(store, session_id)
    assert (info.vehicle_id, info.sample_count, info.technician) == (vehicle_id, 780, "R. Moss")
    assert sessions.source(store, session_id) == log.read_bytes()
    low = next(one for one in sessions.recording(store, session_id).channels if one.role is Role.LOW_SIDE)
    assert (low.unit, low.gauge) == ("psi", True)
    found = sessions.findings(store, session_id)
    assert found.windows[0].label == "idle"
    assert any(one.kind is EventKind.FAN_STAGE_UP for one in found.events)


def test_the_settled_values_at_idle_are_those_of_the_log(store: Store, log: Path, kit: type[Kit]) -> None:
    """About 150 and 30 psi, superheat 6 and subcooling 37 °F near 750 rpm: common practice, no source."""
    session_id = plugin.import_log(store, request(log, None))
    assert session_id is not None
    idle = sessions.findings(store, session_id).windows[0]
    low = (idle.values[Quantity.LOW_SIDE].value - 101_325.0) / kit.PSI
    high = (idle.values[Quantity.HIGH_SIDE].value - 101_325.0) / kit.PSI
    assert low == pytest.approx(30.0, abs=0.5)
    assert high == pytest.approx(150.0, abs=1.0)
    assert idle.values[Quantity.SUPERHEAT].value == pytest.approx(6 / 1.8, abs=0.5)
    assert idle.values[Quantity.SUBCOOLING].value == pytest.approx(37 / 1.8, abs=0.5)


def test_a_file_that_is_in_the_library_already_is_not_stored_again(
    store: Store, vehicle_id: int, log: Path, caplog: pytest.LogCaptureFixture
) -> None:
    first = plugin.import_log(store, request(log, vehicle_id))
    with caplog.at_level("INFO"):
        assert plugin.import_log(store, request(log, vehicle_id)) == first
    assert "in the library already" in caplog.text
    assert len(sessions.list_sessions(store)) == 1


def test_a_known_file_takes_over_the_conditions_that_are_told_later(
    store: Store, vehicle_id: int, log: Path
) -> None:
    first = plugin.import_log(store, request(log, vehicle_id))
    told = replace(request(log, vehicle_id), conditions=Conditions(fan_stage=1))
    assert plugin.import_log(store, told) == first
    assert first is not None
    assert sessions.info(store, first).conditions.fan_stage == 1
    assert sessions.findings(store, first).windows[0].fan_stage == 1
    assert len(sessions.list_sessions(store)) == 1


def test_a_known_file_keeps_a_condition_that_is_not_told_again(
    store: Store, vehicle_id: int, log: Path
) -> None:
    first = plugin.import_log(
        store, replace(request(log, vehicle_id), conditions=Conditions(fan_stage=1, altitude_m=240.0))
    )
    plugin.import_log(store, replace(request(log, vehicle_id), conditions=Conditions(altitude_m=300.0)))
    assert first is not None
    kept = sessions.info(store, first).conditions
    assert (kept.fan_stage, kept.altitude_m) == (1, 300.0)


def test_a_known_file_whose_columns_mean_something_else_is_another_recording(
    store: Store, tmp_path: Path
) -> None:
    path = tmp_path / "bare.csv"
    path.write_text("Time (s),P low,P high\n" + rows("30.1", "150"))
    psi = {"P low": "low side, psi, gauge", "P high": "high side, psi, gauge"}
    absolute = {"P low": "low side, psi, absolute", "P high": "high side, psi, absolute"}
    first = plugin.import_log(store, request(path, None, psi))
    assert plugin.import_log(store, request(path, None, psi)) == first
    assert plugin.import_log(store, request(path, None, absolute)) != first
    assert len(sessions.list_sessions(store)) == 2


def test_an_open_question_refuses_the_import_and_shows_how_to_answer(store: Store, tmp_path: Path) -> None:
    path = tmp_path / "bare.csv"
    path.write_text("Time (s),P low,P high\n" + rows("30.1", "150"))
    text = refusal(store, path)
    assert "In which unit is P low" in text
    assert "give P low=low side, psi, gauge" in text
    assert "Nothing was stored" in text


def test_the_answer_given_with_the_request_lets_the_log_in_and_is_remembered(
    store: Store, tmp_path: Path
) -> None:
    path = tmp_path / "bare.csv"
    path.write_text("Time (s),P low,P high\n" + rows("30.1", "150"))
    mapping = {"P low": "low side, psi, gauge", "P high": "high side, psi, gauge"}
    assert plugin.import_log(store, request(path, None, mapping)) is not None
    again = prepare_for(store, path.read_bytes().replace(b"30.1", b"30.3"), "next.csv")
    assert again.remembered
    assert not again.questions
    assert again.mapping["P low"].words == "low side, psi, gauge"


def test_a_remembered_unit_that_the_values_contradict_is_asked_about_again(
    store: Store, tmp_path: Path
) -> None:
    path = tmp_path / "bare.csv"
    path.write_text("Time (s),P low,P high\n" + rows("30.1", "150"))
    mapping = {"P low": "low side, psi, gauge", "P high": "high side, psi, gauge"}
    plugin.import_log(store, request(path, None, mapping))
    in_kpa = ("Time (s),P low,P high\n" + rows("210", "1050")).encode()
    asked = prepare_for(store, in_kpa, "next.csv").questions
    assert {one.column for one in asked} == {"P low", "P high"}
    assert asked[0].choices[0].label == "kPa, gauge"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"\x00\x01\x02\x03" * 500, "binary"),
        (rows("30.1", "150").encode(), "no header"),
        (b"P low (psig)\n30.1\n30.2\n", "single column"),
        ((PLAIN + "\n" + rows("30.1", "150") + rows("30.1", "150")).encode(), "backwards"),
        ((PLAIN + "\n" + rows("150", "30.1")).encode(), "Were the two swapped"),
        ((PLAIN + ",Vent (°C)\n" + rows("30.1", "150", "58")).encode(), "°F would fit"),
        ((PLAIN + "\n" + rows("30.1", "150") + rows("30.1", count=9)).encode(), "do not have the 3 fields"),
    ],
)
def test_bad_files_are_refused_in_words_and_nothing_is_stored(
    store: Store, tmp_path: Path, content: bytes, words: str
) -> None:
    path = tmp_path / "bad.csv"
    path.write_bytes(content)
    assert words in refusal(store, path)


def test_a_file_that_is_not_there_is_refused_in_words(store: Store, tmp_path: Path) -> None:
    assert "cannot be opened" in refusal(store, tmp_path / "missing.csv")


def test_a_mapping_for_a_column_that_is_not_there_names_those_that_are(store: Store, log: Path) -> None:
    text = refusal(store, log, mapping={"P9": "low side, psi, gauge"})
    assert "no column 'P9'" in text
    assert "P_low" in text


def test_a_refrigerant_without_a_curve_is_refused_and_nothing_is_stored(store: Store, log: Path) -> None:
    assert "R-999" in refusal(store, log, refrigerant="R-999")


def test_what_is_missing_from_a_recording_is_told() -> None:
    rows_text = "".join(f"{index},{'' if index % 7 in (1, 2, 5, 6) else '30.1'},150\n" for index in range(98))
    prepared = prepare(f"{PLAIN}\n{rows_text}".encode(), "gaps.csv")
    texts = [one.text for one in to_recording(prepared.table, prepared.mapping).notices]
    assert "P low: 57 % of the values are missing." in texts
    assert any("engine speed" in text for text in texts)


def test_a_short_or_interrupted_recording_is_told() -> None:
    prepared = prepare(f"{PLAIN}\n0,30,150\n1,30,150\n2,30,150\n40,30,150\n".encode(), "short.csv")
    texts = " ".join(one.text for one in check(to_recording(prepared.table, prepared.mapping).recording))
    assert "lasts 40 s" in texts
    assert "gap of 38 s" in texts


def test_conditions_that_were_recorded_are_taken_from_the_log_unless_noted() -> None:
    text = "Time (s),P low (psig),Ambient (°C),RH (%)\n" + rows("30.1", "31.5", "48")
    recording = to_recording((one := prepare(text.encode(), "log.csv")).table, one.mapping).recording
    assert completed(Conditions(), recording).ambient_k == pytest.approx(304.65)
    assert completed(Conditions(), recording).relative_humidity == pytest.approx(0.48)
    assert completed(Conditions(ambient_k=300.0), recording).ambient_k == 300.0


def test_an_import_with_open_questions_is_impossible() -> None:
    prepared = prepare(("Time (s),P low\n" + rows("30.1")).encode(), "bare.csv")
    with pytest.raises(ValueError, match="open questions"):
        to_recording(prepared.table, prepared.mapping)


def test_the_report_shows_the_session_with_windows_events_and_units(store: Store, log: Path) -> None:
    session_id = plugin.import_log(store, request(log, None))
    assert session_id is not None
    (us,), (si,) = (plugin.report_sections(store, session_id, system) for system in System)
    assert us.html.count("stroke-dasharray") >= 2
    assert "fan" in us.html
    assert "psig" in us.html
    assert "bar g" in si.html
    assert "psig" not in si.html


def test_sixty_thousand_rows_of_eight_columns_are_read_without_losing_one() -> None:
    count = 60_000
    body = "\n".join(f"{i},30.{i % 10},150,45,80,48,88,750" for i in range(count))
    header = "Time (s),P low (psig),P high (psig),Suction (°F),Liquid (°F),Vent (°F),Ambient (°F),RPM"
    prepared = prepare(f"{header}\n{body}\n".encode(), "long.csv")
    recording = to_recording(prepared.table, prepared.mapping).recording
    assert recording.time_s.size == count
    np.testing.assert_allclose(recording.channels[0].values[:10], [30.0 + i / 10 for i in range(10)])


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (Conditions(ambient_k=304.15), "The ambient given (31 °C) is not what the log recorded (20 °C"),
        (Conditions(relative_humidity=0.9), "The relative humidity given (90 %)"),
    ],
)
def test_a_typed_condition_that_the_log_contradicts_is_named(typed: Conditions, words: str) -> None:
    recording = Recording(
        np.arange(3.0),
        (
            Channel("amb", Role.AMBIENT, "°C", False, np.array([19.8, 20.0, np.nan])),
            Channel("rh", Role.HUMIDITY, "%", False, np.array([50.0, 50.0, 51.0])),
        ),
    )
    assert contradiction(typed, recording).startswith(words)


def test_a_typed_condition_near_the_recorded_one_is_taken() -> None:
    recording = Recording(
        np.arange(2.0), (Channel("amb", Role.AMBIENT, "°C", False, np.array([20.0, 21.0])),)
    )
    assert contradiction(Conditions(ambient_k=296.0, relative_humidity=0.5), recording) == ""
