"""What the program offers to the tests of a plugin."""

from knowngood.testing import application, bench, host, settle, store

__all__ = ["application", "bench", "host", "settle", "store"]
