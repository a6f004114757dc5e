"""The rules for tables of their own that plugins bring."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.bringing import PluginTables, TableStep
from knowngood.loader.rules import want, want_callable
from knowngood.loader.status import PluginMistake

if TYPE_CHECKING:
    from knowngood_refdata.store import Store


def make_tables(store: Store, plugin: str, answer: object) -> None:
    """Make in the library what the hook ``tables`` answered; nothing when it answered None.

    Raises
    ------
    PluginMistake
        When the answer is no tables, or its steps are not numbered 1, 2, 3.
    knowngood_refdata.errors.StoreError
        When the library cannot be written, or the tables are refused. What a step raises passes.
    """
    if answer is None:
        return
    tables = _checked(answer)
    # The database layer's own change of tables is needed by few plugins, and only at this moment.
    from knowngood_refdata import plugin_tables

    try:
        plugin_tables.check_prefix(tables.prefix)
    except ValueError as error:
        raise PluginMistake(str(error)) from error
    plugin_tables.make(store, plugin, tables.prefix, [step.run for step in tables.steps])


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
