"""A mapping mistake is mended from the stored file: channels, findings and parts follow, the file stays."""

from __future__ import annotations

import gzip
import io
from typing import TYPE_CHECKING

import pytest
import xlsxwriter

from knowngood_refdata.logs import LogUnreadable
from knowngood_refdata.queries import session_cuts, sessions
from knowngood_refdata.queries.session_cuts import CutDraft
from knowngood_refdata.records import Conditions, Findings, Quantity, Role
from knowngood_refdata.store import Conflict, Store
from knowngood_sessions.core.mapping.assignment import Assignment, Special
from knowngood_sessions.library import Facts, prepare_for, read_again, remap, revise, save_log

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from knowngood_refdata.records import SessionInfo


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = Store.open(tmp_path / "library.sqlite", user="R. Moss")
    yield opened
    opened.close()


def swapped(mapping: Mapping[str, Assignment]) -> dict[str, Assignment]:
    """Both line temperatures taken for one another, as happens with unlabelled clamps."""
    return {
        **mapping,
        "T_suction": Assignment(Role.LIQUID_LINE, "°F"),
        "T_liquid": Assignment(Role.SUCTION_LINE, "°F"),
    }


def stored(store: Store, data: bytes, name: str = "run 14.csv", *, wrong: bool = True) -> SessionInfo:
    prepared = prepare_for(store, data, name)
    mapping = prepared.mapping
    if wrong:
        mapping = {
            column: Assignment(one.use, one.unit, one.gauge, confirmed=True)
            for column, one in swapped(mapping).items()
        }
    facts = Facts(None, "R-134a", Conditions(fan_stage=1))
    return sessions.info(store, save_log(store, prepared, mapping, facts, data).session_id)


def superheat_k(store: Store, session_id: int) -> float:
    return sessions.findings(store, session_id).windows[0].values[Quantity.SUPERHEAT].value


def test_a_wrong_mapping_is_mended_and_the_findings_are_worked_out_anew(
    store: Store, two_plateau_csv: bytes
) -> None:
    info = stored(store, two_plateau_csv)
    assert superheat_k(store, info.id) > 15.0
    right = prepare_for(store, two_plateau_csv, "x.csv").proposal.mapping
    mended = remap(store, info, right, "the clamps were swapped")
    assert mended.version > info.version
    assert superheat_k(store, info.id) == pytest.approx(6.0 / 1.8, abs=0.5)
    roles = {one.name: one.role for one in sessions.recording(store, info.id).channels}
    assert roles["T_suction"] is Role.SUCTION_LINE
    assert sessions.source(store, info.id) == two_plateau_csv
    assert prepare_for(store, two_plateau_csv, "next.csv").mapping["T_suction"].use is Role.SUCTION_LINE


def test_a_wrong_unit_of_the_time_is_mended_with_length_and_findings(
    store: Store, two_plateau_csv: bytes
) -> None:
    data = two_plateau_csv.replace(b"Time (s)", b"Time")
    prepared = prepare_for(store, data, "run.csv")
    wrong = {**prepared.mapping, "Time": Assignment(Special.TIME, "ms")}
    saved = save_log(store, prepared, wrong, Facts(None, "R-134a"), data)
    info = sessions.info(store, saved.session_id)
    assert info.duration_s == pytest.approx(0.779)
    mended = remap(store, info, {**wrong, "Time": Assignment(Special.TIME, "s")})
    assert mended.duration_s == 779
    assert sessions.findings(store, info.id).windows[-1].end_s < 780


def test_parts_that_were_cut_out_follow_and_hold_a_change_of_the_time_back(
    store: Store, two_plateau_csv: bytes
) -> None:
    info = stored(store, two_plateau_csv)
    (cut,) = session_cuts.cut(store, info.id, [CutDraft(0.0, 230.0, "idle", Conditions(), Findings())])
    right = prepare_for(store, two_plateau_csv, "x.csv").proposal.mapping
    with pytest.raises(LogUnreadable, match="Nothing was changed; delete those parts first"):
        remap(store, info, {**right, "Time": Assignment(Special.TIME, "min")})
    remap(store, sessions.info(store, info.id), right)
    assert superheat_k(store, cut) == pytest.approx(6.0 / 1.8, abs=0.5)


def test_a_session_changed_by_someone_else_is_left_as_it_is(store: Store, two_plateau_csv: bytes) -> None:
    info = stored(store, two_plateau_csv)
    revise(store, info, Conditions(fan_stage=0), info.instruments)
    before = superheat_k(store, info.id)
    with pytest.raises(Conflict):
        remap(store, info, prepare_for(store, two_plateau_csv, "x.csv").proposal.mapping)
    assert superheat_k(store, info.id) == before


def test_an_open_question_changes_nothing(store: Store, two_plateau_csv: bytes) -> None:
    info = stored(store, two_plateau_csv)
    right = prepare_for(store, two_plateau_csv, "x.csv").proposal.mapping
    with pytest.raises(ValueError, match="open questions"):
        remap(store, info, {**right, "P_low": Assignment(None)})


def test_a_packed_file_is_read_again_from_the_library(store: Store, two_plateau_csv: bytes) -> None:
    info = stored(store, gzip.compress(two_plateau_csv), "run 14.csv.gz")
    right = read_again(store, info).proposal.mapping
    remap(store, info, right)
    assert superheat_k(store, info.id) == pytest.approx(6.0 / 1.8, abs=0.5)


def test_of_several_sheets_the_one_that_the_session_was_made_of_is_read_again(
    store: Store, two_plateau_csv: bytes
) -> None:
    into = io.BytesIO()
    rows = [line.split(",") for line in two_plateau_csv.decode().splitlines()]
    with xlsxwriter.Workbook(into, {"in_memory": True, "strings_to_numbers": True}) as book:
        for name, kept in (("First", rows[:200]), ("Second", rows)):
            sheet = book.add_worksheet(name)
            for index, row in enumerate(kept):
                sheet.write_row(index, 0, row)
    data = into.getvalue()
    prepared = prepare_for(store, data, "run.xlsx", part="Second")
    saved = save_log(store, prepared, prepared.mapping, Facts(None, "R-134a"), data)
    again = read_again(store, sessions.info(store, saved.session_id))
    assert again.table.part == "Second"
    assert len(again.table.lines) == 780
