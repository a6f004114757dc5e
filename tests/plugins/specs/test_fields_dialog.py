"""Fields of the shop's own: added, changed with a reason, removed; never beside one of the same name."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import pytest

from knowngood_refdata.quantities import Kind
from knowngood_refdata.queries.shop_fields import ShopField, shop_fields
from knowngood_specs.core.fields import Section
from knowngood_specs.panels.fields_dialog import FieldsDialog
from knowngood_specs.record_data import all_fields
from knowngood_specs.shop_field_form import read_field

from .in_dialogs import in_the_dialog

if TYPE_CHECKING:
    from collections.abc import Callable

    from pytestqt.qtbot import QtBot

    from knowngood.api import Host
    from knowngood_specs.panels.form_dialog import FormDialog

    from ..open_host import OpenHost

HELD = ShopField(1, "belt tension", "Belt tension", "Compressor", "", (), 1, 1)


def saving(typed: dict[str, str]) -> Callable[[FormDialog], None]:
    def act(dialog: FormDialog) -> None:
        dialog.write(typed)
        dialog.accept()

    return act


@pytest.fixture
def dialog(qtbot: QtBot, host: OpenHost) -> FieldsDialog:
    dialog = FieldsDialog(cast("Host", host))
    qtbot.addWidget(dialog)
    return dialog


def test_a_field_is_added_changed_and_removed(dialog: FieldsDialog, host: OpenHost) -> None:
    typed = {"title": "Vent drop", "section": "Fans and air", "kind": "temperature difference"}
    in_the_dialog(saving(typed))
    dialog.add()
    made = next(one for one in all_fields(host.store) if one.name == "vent drop")
    assert (made.title, made.kind, made.section) == ("Vent drop", Kind.TEMPERATURE_DIFFERENCE, Section.AIR)
    in_the_dialog(saving({"choices": "10 K\n12 K\n", "why": "what we see"}))
    dialog.change()
    assert shop_fields(host.store)[0].choices == ("10 K", "12 K")
    in_the_dialog(saving({"why": "nobody measures it"}))
    dialog.remove()
    assert shop_fields(host.store) == ()
    assert not dialog.change_button.isEnabled()


def test_a_form_that_was_begun_waits_for_the_next_time(
    qtbot: QtBot, dialog: FieldsDialog, host: OpenHost
) -> None:
    in_the_dialog(lambda form: form.write({"title": "Vent drop"}))
    dialog.add()
    again = FieldsDialog(cast("Host", host))
    qtbot.addWidget(again)
    seen: list[str] = []
    in_the_dialog(lambda form: seen.append(form.entries()["title"]))
    again.add()
    assert seen == ["Vent drop"]


@pytest.mark.parametrize("title", ["Charge Weight", "belt tension", "REFRIGERANT"])
def test_a_field_of_a_title_that_is_taken_is_refused(title: str) -> None:
    draft, problems = read_field({"title": title}, [HELD])
    assert draft is None
    assert "already" in problems[0].words


def test_changing_a_field_keeps_its_name_and_needs_a_reason() -> None:
    typed = {"title": "Tension of the belt", "kind": "words", "choices": "50 N\n\n 60  N"}
    assert [one.entry for one in read_field(typed, [], HELD)[1]] == ["why"]
    draft, _ = read_field({**typed, "why": "clearer"}, [], HELD)
    assert draft is not None
    assert (draft.name, draft.title, draft.kind) == ("belt tension", "Tension of the belt", "")
    assert draft.choices == ("50 N", "60 N")
