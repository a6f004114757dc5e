"""The rules for settings that plugins bring, and for the values that are kept for them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from knowngood.bringing import Setting, SettingKind
from knowngood.loader.rules import all_of, want
from knowngood.loader.status import PluginMistake

if TYPE_CHECKING:
    from collections.abc import Mapping

    Value = str | float | bool


def settings_of(answer: object) -> tuple[Setting, ...]:
    """The answer of ``settings``.

    Raises
    ------
    PluginMistake
        When it is no list of settings, one is wrong in itself, or two have one key.
    """
    found = all_of(answer, Setting, "settings")
    keys: set[object] = set()
    for one in found:
        _check(one)
        if one.key in keys:
            raise PluginMistake(f"its setting {one.key!r} is there twice")
        keys.add(one.key)
    return found


def value_of(setting: Setting, kept: Mapping[str, object]) -> Value:
    """The value that is kept for a setting, or its default when none is or it no longer fits."""
    value = kept.get(setting.key, setting.default)
    return setting.default if wrong(setting, value) else _typed(setting, value)


def wrong(setting: Setting, value: object) -> str:
    """What is wanted instead of a value, in words; empty when nothing is wrong with it."""
    return _WRONG[setting.kind](setting, value)


def _wrong_text(_setting: Setting, value: object) -> str:
    return "" if isinstance(value, str) else "a text is wanted"


def _wrong_number(setting: Setting, value: object) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        return "a number is wanted"
    if setting.least is not None and value < setting.least:
        return f"{setting.least:g} or more is wanted"
    if setting.most is not None and value > setting.most:
        return f"{setting.most:g} or less is wanted"
    return ""


def _wrong_answer(_setting: Setting, value: object) -> str:
    return "" if isinstance(value, bool) else "yes or no is wanted"


def _wrong_choice(setting: Setting, value: object) -> str:
    return "" if value in setting.choices else f"one of {', '.join(setting.choices)} is wanted"


_WRONG = {
    SettingKind.TEXT: _wrong_text,
    SettingKind.NUMBER: _wrong_number,
    SettingKind.YES_NO: _wrong_answer,
    SettingKind.CHOICE: _wrong_choice,
}


def _typed(setting: Setting, value: object) -> Value:
    if setting.kind is SettingKind.YES_NO:
        return bool(value)
    return float(str(value)) if setting.kind is SettingKind.NUMBER else str(value)


def _check(setting: Setting) -> None:
    name = f"its setting {setting.key!r}"
    for value, what in (
        (setting.key, "the key"),
        (setting.title, "the title"),
        (setting.help, "the help"),
        (setting.unit, "the unit"),
    ):
        want(value, str, f"{name}: {what}")
    want(setting.kind, SettingKind, f"{name}: the kind")
    want(setting.choices, tuple, f"{name}: the choices")
    for one in setting.choices:
        want(one, str, f"{name}: a choice")
    if not setting.key.strip() or not setting.title.strip():
        raise PluginMistake(f"{name}: it needs a key and a title")
    if (setting.kind is SettingKind.CHOICE) is not bool(setting.choices):
        raise PluginMistake(f"{name}: choices go with the kind CHOICE, and it takes some")
    for bound in (setting.least, setting.most):
        if bound is not None and (isinstance(bound, bool) or not isinstance(bound, int | float)):
            raise PluginMistake(f"{name}: its bounds are numbers")
    said = wrong(setting, setting.default)
    if said:
        raise PluginMistake(f"{name}: its default {setting.default!r} does not fit: {said}")
