"""Offering a session's steady windows to the book."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood_checkup.panels.offer_dialog import Offer, OfferDialog, keep, what_is_missing
from knowngood_refdata.queries import readings, sessions
from knowngood_refdata.records import Standing

from .conftest import IDLE
from .shown_page import shown

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from knowngood.host import WindowHost
    from knowngood_refdata.store import Store


def test_offered_windows_become_known_good_readings_of_a_named_car(store: Store, session_id: int) -> None:
    info = sessions.info(store, session_id)
    assert info.vehicle_id is not None
    offer = Offer((IDLE,), None, "van 7", Standing.KNOWN_GOOD, "weighed in, no complaint")
    assert keep(store, info, offer) == 1
    found = next(one for one in readings.readings(store, info.vehicle_id) if one.session_id == session_id)
    assert (found.unit_name, found.standing, found.decided_by) == ("van 7", Standing.KNOWN_GOOD, "Ada Fell")
    assert found.values == IDLE.values


def test_a_session_is_no_evidence_for_itself(qtbot: QtBot, host: WindowHost, session_id: int) -> None:
    info = sessions.info(host.store, session_id)
    keep(host.store, info, Offer((IDLE,), None, "van 7", Standing.KNOWN_GOOD, "weighed in"))
    page = shown(qtbot, host, session_id)
    assert page.check is not None
    assert page.check.known_good_count == 16


@pytest.mark.parametrize(
    ("offer", "words"),
    [
        (Offer((), 1, "", Standing.CANDIDATE, ""), "at least one steady window"),
        (Offer((IDLE,), None, "", Standing.CANDIDATE, ""), "Name the car"),
        (Offer((IDLE,), 1, "", Standing.KNOWN_GOOD, ""), "Say why"),
    ],
)
def test_an_incomplete_offer_says_what_is_missing(offer: Offer, words: str) -> None:
    assert words in what_is_missing(offer)


def test_the_dialog_stays_open_until_the_offer_is_complete(qtbot: QtBot) -> None:
    dialog = OfferDialog((IDLE,), ())
    qtbot.addWidget(dialog)
    dialog.accept()
    assert dialog.result() == 0
    dialog._new_car.setText("van 7")
    dialog.accept()
    assert dialog.result() == 1
    assert dialog.offer.standing is Standing.CANDIDATE
