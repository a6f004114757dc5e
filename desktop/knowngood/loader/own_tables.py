"""The rules for tables of their own that plugins bring."""

from __future__ import annotations

import traceback
from typing import TYPE_CHECKING

from knowngood.bringing import PluginTables, TableStep
from knowngood.loader.rules import want, want_callable
from knowngood.loader.status import PluginMistake, PluginStuck

if TYPE_CHECKING:
    from knowngood_refdata.store import Store


def tables_of(answer: object) -> PluginTables | None:
    """The answer of the hook ``tables``.

    Raises
    ------
    PluginMistake
        When it is no tables, their prefix cannot be used, or their steps are not numbered 1, 2, 3.
    """
    if answer is None:
        return None
    tables = _checked(answer)
    # The database layer's own change of tables is needed by few plugins, and only at this moment.
    from knowngood_refdata import plugin_tables

    try:
        plugin_tables.check_prefix(tables.prefix)
    except ValueError as error:
        raise PluginMistake(str(error)) from error
    return tables


def are_behind(store: Store, plugin: str, tables: PluginTables) -> bool:
    """Whether the library lacks steps of a plugin's tables.

    Raises
    ------
    knowngood_refdata.errors.StoreError
        When the library cannot be read.
    """
    from knowngood_refdata import plugin_tables

    return plugin_tables.steps_made(store).get(plugin, 0) < len(tables.steps)


def make_tables(store: Store, plugin: str, tables: PluginTables) -> None:
    """Make in the library the steps of a plugin's tables that it lacks.

    Raises
    ------
    knowngood_refdata.errors.StoreError
        When the library cannot be written, or the tables are refused. What a step raises passes.
    """
    from knowngood_refdata import plugin_tables

    try:
        plugin_tables.make(store, plugin, tables.prefix, [step.run for step in tables.steps])
    except PluginStuck as stuck:
        # The cursor of a statement that was broken off keeps the library locked while a frame holds it.
        traceback.clear_frames(stuck.__traceback__)
        raise


def _checked(answer: object) -> PluginTables:
    if not isinstance(answer, PluginTables):
        raise PluginMistake(
            f"its hook 'tables' returned a {type(answer).__name__} instead of PluginTables or None"
        )
    want(answer.prefix, str, "the prefix of its tables")
    want(answer.steps, tuple, "the steps of its tables")
    for place, step in enumerate(answer.steps, start=1):
        want(step, TableStep, "a step of its tables")
        want_callable(step.run, f"step {step.number} of its tables")
        if step.number != place:
            raise PluginMistake(
                f"the steps of its tables are to be numbered 1, 2, 3 without a gap; number {place} is missing"
            )
    if not answer.steps:
        raise PluginMistake("its tables have no steps; return None when there are no tables")
    return answer
