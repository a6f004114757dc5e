"""Finds plugins, lets them in one by one, and calls their hooks so that one failing costs no other."""

from knowngood.loader.gate import Gate
from knowngood.loader.plugins import Plugins
from knowngood.loader.sources import find_sources
from knowngood.loader.status import Failure, Origin, PluginFailed, PluginStatus, State

__all__ = [
    "Failure",
    "Gate",
    "Origin",
    "PluginFailed",
    "PluginStatus",
    "Plugins",
    "State",
    "find_sources",
]
