"""The rules that a plugin's hooks and their answers must keep, with words for who breaks one."""

from __future__ import annotations

import difflib
import inspect
from collections.abc import Sequence
from typing import TYPE_CHECKING, TypeVar

from knowngood import hookspecs
from knowngood.api import Command, Group, Page, ReportSection, SpecField
from knowngood.loader.status import PluginMistake
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from types import ModuleType

T = TypeVar("T")

HOOKS: dict[str, tuple[str, ...]] = {
    name: tuple(inspect.signature(spec).parameters)
    for name, spec in vars(hookspecs).items()
    if hasattr(spec, "knowngood_spec")
}
"""The hooks with the names of what each is given."""


def check_hooks(module: ModuleType) -> tuple[str, ...]:
    """The hooks that a plugin module implements.

    Raises
    ------
    PluginMistake
        For an unknown hook, an argument that the hook does not give, a wrapper, or no hook at all.
    """
    found = [
        (name, function) for name, function in vars(module).items() if hasattr(function, "knowngood_impl")
    ]
    for name, function in found:
        options = function.knowngood_impl
        hook = options.get("specname") or name
        if hook not in HOOKS:
            raise PluginMistake(f"'{hook}' is no hook; {_nearest(hook)}")
        if options.get("wrapper") or options.get("hookwrapper"):
            raise PluginMistake(f"its hook '{hook}' is a wrapper around other plugins, which is not offered")
        wrong = [one for one in inspect.signature(function).parameters if one not in HOOKS[hook]]
        if wrong:
            raise PluginMistake(f"its hook '{hook}' asks for {_listed(wrong)}; {_given(hook)}")
    if not found:
        raise PluginMistake("it implements no hook: mark its functions with knowngood.api.hookimpl")
    return tuple(name for name, _ in found)


def all_of(answer: object, kind: type[T], hook: str) -> tuple[T, ...]:
    """The answer of a hook that returns a sequence.

    Raises
    ------
    PluginMistake
        When it is none, or holds something else.
    """
    if not isinstance(answer, Sequence) or isinstance(answer, str | bytes):
        raise PluginMistake(
            f"its hook '{hook}' returned {_what(answer)} instead of a list of {kind.__name__} (an empty "
            "list when there is nothing)"
        )
    for one in answer:
        if not isinstance(one, kind):
            raise PluginMistake(f"its hook '{hook}' returned {_what(one)} in the place of a {kind.__name__}")
    return tuple(answer)


def check_page(page: Page, owners: dict[str, str]) -> None:
    """Refuse a page whose parts are of a wrong type or whose key another plugin uses.

    Raises
    ------
    PluginMistake
        For such a page; ``owners`` names the plugin of each key in use.
    """
    name = f"its page {page.key!r}"
    want(page.key, str, f"{name}: the key")
    want(page.title, str, f"{name}: the title")
    want(page.group, Group, f"{name}: the group")
    want(page.order, int, f"{name}: the order")
    want_callable(page.factory, f"{name}: the factory")
    if page.key in owners:
        raise PluginMistake(f"{name}: the key is used by {owners[page.key]} already")


def check_command(command: Command, owners: dict[str, str]) -> None:
    """Refuse a command whose parts are of a wrong type or whose name is in use.

    Raises
    ------
    PluginMistake
        For such a command; ``owners`` names who has each name.
    """
    name = f"its command {command.name!r}"
    want(command.name, str, f"{name}: the name")
    want(command.help, str, f"{name}: the help")
    want_callable(command.configure, f"{name}: configure")
    want_callable(command.run, f"{name}: run")
    if command.name in owners:
        raise PluginMistake(f"{name}: the name is used by {owners[command.name]} already")


def check_field(field: SpecField, owners: dict[str, str]) -> None:
    """Refuse a spec field whose parts are of a wrong type or whose name another plugin uses.

    Raises
    ------
    PluginMistake
        For such a field; ``owners`` names the plugin of each name in use.
    """
    name = f"its spec field {field.name!r}"
    want(field.name, str, f"{name}: the name")
    want(field.title, str, f"{name}: the title")
    want(field.section, str, f"{name}: the section")
    want(field.choices, tuple, f"{name}: the choices")
    if field.kind is not None:
        want(field.kind, Kind, f"{name}: the kind")
    if not field.name.strip() or not field.title.strip():
        raise PluginMistake(f"{name}: it needs a name and a title")
    if field.name in owners:
        raise PluginMistake(f"{name}: the name is used by {owners[field.name]} already")


def check_section(section: ReportSection) -> None:
    """Refuse a report section whose parts are of a wrong type.

    Raises
    ------
    PluginMistake
        For such a section.
    """
    name = f"its report section {section.title!r}"
    want(section.title, str, f"{name}: the title")
    want(section.order, int, f"{name}: the order")
    want(section.html, str, f"{name}: the HTML")


def widget(answer: object, title: str) -> object:
    """What a page's factory made.

    Raises
    ------
    PluginMistake
        When it is no widget.
    """
    from PySide6.QtWidgets import QWidget

    if not isinstance(answer, QWidget):
        raise PluginMistake(f"its page {title!r} is {_what(answer)} instead of a QWidget")
    return answer


def session_id(answer: object) -> int | None:
    """The answer of ``import_log``.

    Raises
    ------
    PluginMistake
        When it is neither a session's id nor None.
    """
    if answer is None or (isinstance(answer, int) and not isinstance(answer, bool)):
        return answer
    raise PluginMistake(f"its hook 'import_log' returned {_what(answer)} instead of a session's id or None")


def want(value: object, kind: type, what: str) -> None:
    """Refuse a part of a wrong type; ``what`` names the part.

    Raises
    ------
    PluginMistake
        For such a part.
    """
    if not isinstance(value, kind):
        raise PluginMistake(f"{what} is {_what(value)}, not a {kind.__name__}")


def want_callable(value: object, what: str) -> None:
    """Refuse a part that cannot be called.

    Raises
    ------
    PluginMistake
        For such a part.
    """
    if not callable(value):
        raise PluginMistake(f"{what} is {_what(value)}, which cannot be called")


def _what(value: object) -> str:
    return "None" if value is None else f"a {type(value).__name__}"


def _nearest(name: str) -> str:
    near = difflib.get_close_matches(name, HOOKS, n=1)
    return f"did you mean '{near[0]}'?" if near else f"there are {_listed(list(HOOKS))}"


def _given(hook: str) -> str:
    return f"it is given {_listed(list(HOOKS[hook]))}" if HOOKS[hook] else "it is given nothing"


def _listed(names: list[str]) -> str:
    quoted = [f"'{name}'" for name in names]
    return quoted[0] if len(quoted) == 1 else ", ".join(quoted[:-1]) + " and " + quoted[-1]
