"""Finds plugins, loads them one by one, and calls their hooks so that one failing costs no other."""

from knowngood.loader.plugins import Plugins
from knowngood.loader.sources import find_sources
from knowngood.loader.status import Failure, Origin, PluginFailed, PluginStatus

__all__ = ["Failure", "Origin", "PluginFailed", "PluginStatus", "Plugins", "find_sources"]
