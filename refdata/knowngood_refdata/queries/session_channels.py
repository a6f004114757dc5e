"""The channels of a session exchanged for others read from the same file, with what was found in them."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import delete, select

from knowngood_refdata.errors import Conflict, UnfitValue
from knowngood_refdata.models import Audit, ChannelChunk, ChannelRow, SessionRow
from knowngood_refdata.queries.conditions import columns_of
from knowngood_refdata.queries.findings import replace_findings
from knowngood_refdata.queries.session_samples import pack_all, write_channels
from knowngood_refdata.queries.sessions import session_row

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from sqlalchemy.orm import Session

    from knowngood_refdata.records import Conditions, Findings, Recording
    from knowngood_refdata.store import Store


def replace_channels(
    store: Store,
    session_id: int,
    version: int,
    recorded: Recording,
    found: Mapping[int, Findings],
    *,
    started_at: datetime | None,
    why: str,
    conditions: Mapping[int, Conditions] | None = None,
) -> None:
    """Exchange the channels of a session and store what was found anew, all or nothing.

    The source file stays as it is; the audit trail tells what each channel was taken for before.

    Parameters
    ----------
    recorded
        The samples of the same file under another mapping.
    found
        The findings of the session and of each of its cuts, by number.
    started_at
        When the recording began, as the file tells it now; None leaves what is stored.
    why
        The reason for the trail.
    conditions
        Those of the session and of its cuts, by number, where they were taken from channels and follow them.

    Raises
    ------
    Conflict
        When the session is no longer at the version that was shown, or was cut in the meantime.
    UnfitValue
        When the session is itself a cut, or a channel has not a sample at each time.
    NotFound
        When there is no such session.
    """
    packed = pack_all(recorded)
    with store.writing(why) as session:
        row = session_row(session, session_id)
        _see_that_it_can_be(session, row, version, found)
        _note(session, row, recorded)
        channels = select(ChannelRow.id).where(ChannelRow.session_id == session_id)
        session.execute(delete(ChannelChunk).where(ChannelChunk.channel_id.in_(channels)))
        session.execute(delete(ChannelRow).where(ChannelRow.session_id == session_id))
        write_channels(session, session_id, recorded, packed)
        row.sample_count = len(recorded.time_s)
        row.duration_s = float(recorded.time_s[-1] - recorded.time_s[0]) if len(recorded.time_s) else 0.0
        row.started_at = started_at or row.started_at
        # Whoever has the former channels on the screen must notice, even where no column changed.
        row.changed_at = datetime.now(UTC)
        for number, stated in (conditions or {}).items():
            for name, value in columns_of(stated).items():
                setattr(session_row(session, number), name, value)
        for number, findings in found.items():
            replace_findings(session, number, findings)


def _see_that_it_can_be(
    session: Session, row: SessionRow, version: int, found: Mapping[int, Findings]
) -> None:
    if row.version != version:
        raise Conflict(
            "Someone else changed this session since it was shown. Theirs was kept and your mapping was not "
            "stored. Look at the session and mend its columns again."
        )
    if row.parent_id is not None:
        raise UnfitValue(
            f"This session is a part of session {row.parent_id} and has no columns of its own. Nothing was "
            "changed. Mend the columns of that one."
        )
    cuts = session.scalars(
        select(SessionRow.id).where(SessionRow.parent_id == row.id, SessionRow.deleted_at.is_(None))
    )
    if {row.id, *cuts} != set(found):
        raise Conflict(
            "Someone cut a part out of this session meanwhile. Nothing was changed. Mend its columns again."
        )


def _note(session: Session, row: SessionRow, recorded: Recording) -> None:
    """Tell the audit trail what the channels were and are taken for."""
    former = session.scalars(
        select(ChannelRow)
        .where(ChannelRow.session_id == row.id, ChannelRow.position > 0)
        .order_by(ChannelRow.position)
    )
    was = _words((one.name, one.role, one.unit, one.gauge) for one in former)
    now = _words((one.name, one.role.value, one.unit, one.gauge) for one in recorded.channels)
    session.add(
        Audit(
            at=datetime.now(UTC),
            who=session.info["who"],
            table_name=SessionRow.__tablename__,
            row_id=row.id,
            action="replaced",
            before={"channels": was, "sample_count": row.sample_count},
            after={"channels": now, "sample_count": len(recorded.time_s)},
            why=session.info["why"],
            batch_id=session.info["batch"],
        )
    )


def _words(channels: Iterable[tuple[str, str, str, bool]]) -> str:
    """Channels in words: ``P1: low side, psi, gauge; T1: vent, °C``."""
    return "; ".join(
        f"{name}: " + ", ".join(filter(None, (role, unit, "gauge" if gauge else "")))
        for name, role, unit, gauge in channels
    )
