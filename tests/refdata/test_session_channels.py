"""Channels of a session exchanged for others of the same file: all or nothing, and told in the trail."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
from sqlalchemy import func, select

from knowngood_refdata.drafts import SessionDraft
from knowngood_refdata.errors import Conflict, UnfitValue
from knowngood_refdata.models import Audit, ChannelChunk
from knowngood_refdata.queries import session_cuts, sessions
from knowngood_refdata.queries.session_channels import replace_channels
from knowngood_refdata.queries.session_cuts import CutDraft
from knowngood_refdata.queries.session_history import session_history
from knowngood_refdata.records import (
    Channel,
    Conditions,
    Event,
    EventKind,
    Findings,
    Instruments,
    Recording,
    Role,
)
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator

TIMES_S = np.arange(0.0, 100.0)


@pytest.fixture
def store(address: str) -> Iterator[Store]:
    opened = Store.open(address, user="Ida Quill")
    yield opened
    opened.close()


def recording(role: Role, *, gauge: bool = True, times_s: np.ndarray = TIMES_S) -> Recording:
    values = 30.0 + times_s % 3
    return Recording(times_s, (Channel("P1", role, "psi", gauge, values),))


def noted(text: str) -> Findings:
    return Findings(events=(Event(EventKind.ENGINE_SPEED_STEP, 12.0, text),))


@pytest.fixture
def session_id(store: Store) -> int:
    draft = SessionDraft(
        vehicle_id=None,
        title="run 14",
        refrigerant="R-134a",
        source_name="run 14.csv",
        conditions=Conditions(),
        instruments=Instruments(),
        findings=noted("as first taken"),
    )
    return sessions.save(store, draft, recording(Role.HIGH_SIDE), b"the file")


def test_channels_and_findings_change_together_and_the_file_stays(store: Store, session_id: int) -> None:
    info = sessions.info(store, session_id)
    found = {session_id: noted("as mended")}
    replace_channels(
        store, session_id, info.version, recording(Role.LOW_SIDE), found, started_at=None, why="swapped"
    )
    (channel,) = sessions.recording(store, session_id).channels
    assert (channel.role, channel.unit) == (Role.LOW_SIDE, "psi")
    assert [one.text for one in sessions.findings(store, session_id).events] == ["as mended"]
    assert sessions.source(store, session_id) == b"the file"
    assert sessions.info(store, session_id).version > info.version
    with store.reading() as session:
        assert session.scalar(select(func.count()).select_from(ChannelChunk)) == 2


def test_the_trail_tells_what_the_channels_were_taken_for_by_whom_and_why(
    store: Store, session_id: int
) -> None:
    version = sessions.info(store, session_id).version
    now = recording(Role.LOW_SIDE, gauge=False)
    replace_channels(
        store, session_id, version, now, {session_id: Findings()}, started_at=None, why="hoses were swapped"
    )
    with store.reading() as session:
        entry = session.scalars(select(Audit).where(Audit.action == "replaced")).one()
        assert (entry.who, entry.why) == ("Ida Quill", "hoses were swapped")
        assert entry.before["channels"] == "P1: high side, psi, gauge"
        assert entry.after["channels"] == "P1: low side, psi"
    (change,) = (one for one in session_history(store, session_id) if one.action == "replaced")
    assert any("low side" in one.after for one in change.fields)


def test_a_session_that_someone_else_changed_is_left_alone(store: Store, session_id: int) -> None:
    version = sessions.info(store, session_id).version
    sessions.update_conditions(store, session_id, version, Conditions(fan_stage=1), Instruments())
    with pytest.raises(Conflict, match="Theirs was kept"):
        replace_channels(
            store,
            session_id,
            version,
            recording(Role.LOW_SIDE),
            {session_id: Findings()},
            started_at=None,
            why="swapped",
        )
    assert sessions.recording(store, session_id).channels[0].role is Role.HIGH_SIDE
    assert sessions.findings(store, session_id).events


def test_what_fails_on_the_way_leaves_everything_as_it_was(store: Store, session_id: int) -> None:
    info = sessions.info(store, session_id)
    broken = Recording(TIMES_S, (Channel("P1", Role.LOW_SIDE, "psi", True, np.zeros(3)),))
    with pytest.raises(UnfitValue):
        replace_channels(
            store, session_id, info.version, broken, {session_id: Findings()}, started_at=None, why="x"
        )
    assert sessions.info(store, session_id) == info
    assert sessions.recording(store, session_id).channels[0].role is Role.HIGH_SIDE


def test_a_part_cut_out_follows_its_session_and_cannot_be_mended_alone(store: Store, session_id: int) -> None:
    draft = CutDraft(10.0, 40.0, "part", Conditions(), Findings())
    (cut,) = session_cuts.cut(store, session_id, [draft])
    version = sessions.info(store, session_id).version
    now = recording(Role.LOW_SIDE)
    with pytest.raises(Conflict, match="cut a part"):
        replace_channels(store, session_id, version, now, {session_id: Findings()}, started_at=None, why="x")
    with pytest.raises(UnfitValue, match=f"part of session {session_id}"):
        replace_channels(
            store, cut, sessions.info(store, cut).version, now, {cut: Findings()}, started_at=None, why="x"
        )
    found = {session_id: Findings(), cut: replace(noted("in the part"))}
    replace_channels(store, session_id, version, now, found, started_at=None, why="swapped")
    assert sessions.recording(store, cut).channels[0].role is Role.LOW_SIDE
    assert [one.text for one in sessions.findings(store, cut).events] == ["in the part"]
