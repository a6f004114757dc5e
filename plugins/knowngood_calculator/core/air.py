"""The local air pressure that a gauge counts from."""

from __future__ import annotations

from knowngood_refdata.local_air import LocalAir, local_air

__all__ = ["LocalAir", "local_air"]
