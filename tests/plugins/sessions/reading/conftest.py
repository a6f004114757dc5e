"""A library on each of the two databases, as the tests of the reference database have it."""

from __future__ import annotations

from tests.refdata.conftest import address, postgres, server

__all__ = ["address", "postgres", "server"]
