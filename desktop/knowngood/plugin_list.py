"""The command ``knowngood plugins``: what there is, and what is decided about it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.loader import State

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Callable, Iterator

    from knowngood.loader import Plugins, PluginStatus

HELP = "list the plugins, what they bring, what they cost, and how they failed"
DONE, BAD_INPUT = 0, 2


def configure(parser: ArgumentParser) -> None:
    """The options of the command."""
    choice = parser.add_mutually_exclusive_group()
    choice.add_argument(
        "--approve", metavar="NAME", help="let a plugin run with the contents that it has now"
    )
    choice.add_argument("--refuse", metavar="NAME", help="keep a plugin with these contents from running")
    choice.add_argument("--enable", metavar="NAME", help="switch a plugin on again")
    choice.add_argument("--disable", metavar="NAME", help="switch a plugin off")


def run(plugins: Plugins, options: Namespace, say: Callable[[str], None] = print) -> int:
    """Do what is asked, then list; return the exit code."""
    name = options.approve or options.refuse or options.enable or options.disable
    if name is not None:
        status = {one.name: one for one in plugins.status()}.get(name)
        if status is None:
            say(f"There is no plugin called '{name}'.")
            return BAD_INPUT
        _decide(plugins, status, options)
    plugins.pages()
    plugins.commands()
    plugins.started()
    for one in plugins.status():
        if name in (None, one.name):
            say("\n".join(lines(one)))
    return DONE


def lines(status: PluginStatus) -> Iterator[str]:
    """What is known about a plugin, line by line."""
    version = f" {status.version}" if status.version else ""
    yield f"{status.name}{version} ({status.origin}: {status.place}, {status.start_ms:.0f} ms)"
    if status.state is not State.RUNNING:
        yield f"  {status.state}. {status.reason}".rstrip()
    if status.about is not None and status.about.sha256:
        yield f"  SHA-256 {status.about.sha256}, {status.about.files} files"
    if status.slow and not status.built_in:
        yield f"  slow: it adds {status.start_ms:.0f} ms to the start"
    for line in status.contributions:
        yield f"  {line}"
    for failure in status.failures:
        yield f"  failed, {failure}"


def _decide(plugins: Plugins, status: PluginStatus, options: Namespace) -> None:
    sha256 = status.about.sha256 if status.about is not None else ""
    if options.approve:
        plugins.approve(status.name, sha256)
    elif options.refuse:
        plugins.refuse(status.name, sha256)
    elif options.enable:
        plugins.enable(status.name)
    else:
        plugins.disable(status.name)
