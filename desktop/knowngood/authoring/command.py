"""The command ``knowngood plugin``: for whoever writes one."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

NAME = "plugin"
HELP = "make a new plugin, check one, or read the guide"
DONE, BAD_INPUT = 0, 2


def parser(whole: ArgumentParser) -> ArgumentParser:
    """The command line with this one command."""
    configure(whole.add_subparsers(dest="command", required=True).add_parser(NAME, help=HELP))
    return whole


def configure(parser: ArgumentParser) -> None:
    """The options of the command."""
    what = parser.add_subparsers(dest="what", metavar="WHAT", required=True)
    new = what.add_parser("new", help="make a small plugin that works, with tests")
    new.add_argument("name", help="lower-case letters, digits, underlines: seasonal_checks")
    new.add_argument("--folder", type=Path, default=Path(), help="where to put its folder (here)")
    check = what.add_parser("check", help="say in words what is wrong with a plugin; it is run for that")
    check.add_argument("folder", type=Path, help="the folder or file of the plugin")
    what.add_parser("guide", help="print the guide for writers of plugins, in Markdown")


def run(options: Namespace) -> int:
    """Do what is asked; return the exit code."""
    return {"new": _new, "check": _check, "guide": _guide}[options.what](options)


def _new(options: Namespace) -> int:
    from knowngood.authoring.new import NameRefused, make

    try:
        place = make(options.name, options.folder)
    except NameRefused as error:
        print(error, file=sys.stderr)
        return BAD_INPUT
    print(f"Made {place}. Check it with: knowngood plugin check {place}")
    return DONE


def _check(options: Namespace) -> int:
    from knowngood.authoring.apart import check_apart

    found = check_apart(options.folder)
    for line in found.lines():
        print(line)
    return DONE if found.good else BAD_INPUT


def _guide(_options: Namespace) -> int:
    from knowngood.authoring.guide import guide

    print(guide(), end="")
    return DONE
