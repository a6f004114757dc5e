"""Whatever the channels hold, the search for events ends, in order of time and inside the recording."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.plugins.sessions.eventful.found import found_in
from tests.plugins.sessions.eventful.happened import DIAL, Eventful

from knowngood_refdata.records import Channel, Recording, Role

if TYPE_CHECKING:
    from numpy.typing import NDArray

SHAPES = ("noise", "still", "steps", "ramp", "swing", "gaps", "wild")


def values(shape: str, level: float, count: int, random: np.random.Generator) -> NDArray[np.float64]:
    at = np.arange(count)
    shapes = {
        "noise": level + random.normal(0.0, 0.05 * level, count),
        "still": np.full(count, level),
        "steps": level * (1.0 + 0.4 * (at // 40 % 2)),
        "ramp": level * (1.0 + at / max(count, 1)),
        "swing": level * (1.0 + 0.1 * np.sin(at / 3.0)),
        "gaps": np.where(random.random(count) < 0.5, np.nan, level),
        "wild": random.choice([0.0, level, -level, 1e9, np.nan], count),
    }
    return shapes[shape]


@settings(max_examples=60, deadline=None)
@given(
    shapes=st.tuples(*(st.sampled_from(SHAPES) for _ in range(3))),
    roles=st.sets(st.integers(0, 2), min_size=1),
    count=st.integers(1, 400),
    sampling_s=st.sampled_from([0.05, 1.0, 2.0, 30.0]),
    seed=st.integers(0, 1_000),
)
def test_any_recording_is_searched_to_its_end(
    shapes: tuple[str, str, str], roles: set[int], count: int, sampling_s: float, seed: int
) -> None:
    random = np.random.default_rng(seed)
    kinds = ((Role.LOW_SIDE, "psi", 30.0), (Role.HIGH_SIDE, "psi", 160.0), (Role.ENGINE_SPEED, "rpm", 800.0))
    channels = tuple(
        Channel(role.value, role, unit, unit == "psi", values(shapes[i], level, count, random))
        for i, (role, unit, level) in enumerate(kinds)
        if i in roles
    )
    time_s = sampling_s * np.arange(count, dtype=np.float64)
    told = found_in(Eventful(Recording(time_s, channels), "R-134a", (), DIAL))
    moments = [event.at_s for event in told.events]
    assert moments == sorted(moments)
    for event in told.events:
        assert -sampling_s <= event.at_s <= time_s[-1] + sampling_s
        assert event.evidence is not None
        assert event.evidence.from_s <= event.evidence.until_s
        assert set(event.evidence.channels) <= {channel.role for channel in channels}
