"""A recorded session: what is known of it, and its samples."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime

    import numpy as np
    from numpy.typing import NDArray

    from knowngood_refdata.records.measuring import Conditions, Instruments, Role


@dataclass(frozen=True, slots=True)
class SessionInfo:
    """A recorded session without its samples.

    Of a cut, ``parent_id`` is the session whose samples it shows, those from ``from_s`` to ``until_s`` on the
    parent's time axis, both included; its own times count from its first sample.
    """

    id: int
    vehicle_id: int | None
    unit_id: int | None
    title: str
    started_at: datetime | None
    refrigerant: str
    conditions: Conditions
    instruments: Instruments
    duration_s: float
    sample_count: int
    source_name: str
    source_sha256: str
    technician: str = ""
    note: str = ""
    version: int = 1
    parent_id: int | None = None
    from_s: float | None = None
    until_s: float | None = None


@dataclass(frozen=True, slots=True)
class Channel:
    """One recorded channel as the file gave it; ``values`` are in ``unit``, samples missing are NaN.

    ``gauge`` tells, for a pressure, whether the logger counted from the local air pressure; it is
    meaningless for other kinds. A mapping mistake is mended by changing role, unit or gauge: the
    samples stay as recorded.
    """

    name: str
    role: Role
    unit: str
    gauge: bool
    values: NDArray[np.float64]  # (n,)


@dataclass(frozen=True, slots=True)
class Recording:
    """The samples of a session: one time axis in seconds from the first sample, and its channels."""

    time_s: NDArray[np.float64]  # (n,), rising
    channels: tuple[Channel, ...]
