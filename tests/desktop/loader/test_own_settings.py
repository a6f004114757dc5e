"""Settings that plugins bring: asked for once, typed, and wrong ones lose their plugin's settings alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood.api import Setting, SettingKind
from knowngood.loader.own_settings import value_of, wrong

if TYPE_CHECKING:
    from .conftest import Load, Put

HEAD = """
from knowngood.api import Setting, SettingKind, hookimpl
NUMBER, TEXT, CHOICE, YES_NO = SettingKind.NUMBER, SettingKind.TEXT, SettingKind.CHOICE, SettingKind.YES_NO

"""
DAYS = Setting("days", "Remind after", SettingKind.NUMBER, 180.0, least=1.0, most=400.0)
BODY = Setting("body", "Body", SettingKind.CHOICE, "bus", ("bus", "van"))
WHO = Setting("who", "Who", SettingKind.TEXT, "")
ALL = (DAYS, BODY, WHO, Setting("on", "On", SettingKind.YES_NO, default=True))


def with_days(default: int) -> str:
    return f"@hookimpl\ndef settings():\n    return [Setting('days', 'Days', NUMBER, {default})]"


def test_a_setting_has_its_default_until_another_value_is_kept(put: Put, load: Load) -> None:
    put("depot.py", with_days(180), head=HEAD)
    plugins = load()
    value = plugins.setting("depot", "days")
    assert (value, type(value)) == (180.0, float)
    kept: dict[str, object] = {"days": 30}
    plugins.kept_settings = {"depot": kept}.__getitem__
    assert plugins.setting("depot", "days") == 30.0
    kept["days"] = "soon"
    assert plugins.setting("depot", "days") == 180.0


def test_what_no_plugin_brings_cannot_be_asked_for(put: Put, load: Load) -> None:
    put("depot.py", "@hookimpl\ndef settings():\n    return []", head=HEAD)
    plugins = load()
    assert plugins.settings() == {}
    with pytest.raises(KeyError, match="'depot' brings no setting 'days'"):
        plugins.setting("depot", "days")


def test_two_plugins_may_have_settings_of_one_name(put: Put, load: Load) -> None:
    for name, days in (("a", 1), ("b", 2)):
        put(f"{name}.py", with_days(days), head=HEAD)
    plugins = load()
    assert [plugins.setting(name, "days") for name in "ab"] == [1.0, 2.0]


def test_settings_leave_with_their_plugin_and_come_back_with_it(put: Put, load: Load) -> None:
    put("depot.py", with_days(1), head=HEAD)
    plugins = load()
    assert list(plugins.settings()) == ["depot"]
    plugins.disable("depot")
    assert plugins.settings() == {}
    plugins.enable("depot")
    assert list(plugins.settings()) == ["depot"]


@pytest.mark.parametrize(
    ("answer", "words"),
    [
        ("None", "returned None instead of a list of Setting"),
        ("['days']", "returned a str in the place of a Setting"),
        ("[Setting('days', 'Days', 'number', 1)]", "the kind is a str, not a SettingKind"),
        ("[Setting('days', 'Days', NUMBER, 'soon')]", "its default 'soon' does not fit: a number is wanted"),
        ("[Setting('days', 'Days', NUMBER, 0, least=1)]", "1 or more is wanted"),
        ("[Setting('days', 'Days', NUMBER, 9, most='8')]", "its bounds are numbers"),
        ("[Setting('who', 'Who', TEXT, 3)]", "a text is wanted"),
        ("[Setting('on', 'On', YES_NO, 1)]", "yes or no is wanted"),
        ("[Setting('body', 'Body', CHOICE, 'bus')]", "choices go with the kind CHOICE"),
        ("[Setting('body', 'Body', CHOICE, 'car', ('bus', 'van'))]", "one of bus, van is wanted"),
        ("[Setting(' ', 'Who', TEXT, '')]", "it needs a key and a title"),
        ("[Setting('who', 'Who', TEXT, '')] * 2", "is there twice"),
        ("1 / 0", "ZeroDivisionError"),
    ],
)
def test_wrong_settings_are_told_in_words_and_cost_no_other_plugin(
    put: Put, load: Load, answer: str, words: str
) -> None:
    put("broken.py", f"@hookimpl\ndef settings():\n    return {answer}", head=HEAD)
    put("healthy.py", with_days(1), head=HEAD)
    plugins = load()
    assert list(plugins.settings()) == ["healthy"]
    broken, healthy = plugins.status()
    assert broken.failure is not None
    assert words in broken.failure.words
    assert healthy.failures == ()


@given(value=st.none() | st.booleans() | st.integers() | st.floats() | st.text() | st.lists(st.integers()))
def test_whatever_is_kept_a_setting_has_a_value_that_fits(value: object) -> None:
    for setting in ALL:
        found = value_of(setting, {setting.key: value})
        assert wrong(setting, found) == ""
        assert type(found) is type(setting.default)
