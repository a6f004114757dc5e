"""A second of a growing log costs a few milliseconds however much is on hand already.

Rival in the same run: reading the whole file and deriving it anew for each new second. Target with a million
samples of eight channels on hand, at 10 and at 100 samples a second: the new second read and derived in under
20 ms off the GUI thread, and shown in under 20 ms on it.
"""

from __future__ import annotations

import io
import time
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from knowngood.scales import System
from knowngood.widgets import TimePlot
from knowngood_refdata.records import Conditions, Quantity, Role
from knowngood_sessions.core.channels.derive import derive
from knowngood_sessions.core.following.follower import Follower
from knowngood_sessions.core.mapping.importing import prepare, to_recording
from knowngood_sessions.followed import session_of
from knowngood_sessions.library import Facts
from knowngood_sessions.own_channels import own_channels
from knowngood_sessions.session_panels import ready

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from knowngood_sessions.gather import Session

ON_HAND = 1_000_000
SECONDS = 40
TARGET_S = 0.020
TIMES_FASTER = 100.0
EIGHT_PLOTS = (
    (Role.LOW_SIDE.value,),
    (Role.HIGH_SIDE.value,),
    (Role.SUCTION_LINE.value, Quantity.EVAPORATING.value),
    (Role.LIQUID_LINE.value, "condensing temperature"),
    (Role.VENT.value, Role.AMBIENT.value),
    (Quantity.SUPERHEAT.value, Quantity.SUBCOOLING.value),
    ("pressure ratio",),
    (Role.ENGINE_SPEED.value,),
)
HEADER = (
    "Time (s),P_low (psig),P_high (psig),T_suction (°F),T_liquid (°F),T_vent (°F),T_ambient (°F),"
    "Engine speed (rpm),Fan command (%)\n"
)
FORMATS = ["%.2f", "%.1f", "%.1f", "%.1f", "%.1f", "%.1f", "%.1f", "%.0f", "%.0f"]


def lines(first: int, count: int, hertz: int) -> bytes:
    """Rows of eight channels."""
    random = np.random.default_rng(first)
    middle = np.array([30.0, 150.0, 45.0, 90.0, 48.0, 85.0, 750.0, 40.0])
    values = middle + random.normal(size=(count, 8))
    written = io.StringIO()
    stamps = np.arange(first, first + count)[:, None] / hertz
    np.savetxt(written, np.hstack([stamps, values]), fmt=FORMATS, delimiter=",")
    return written.getvalue().encode()


@pytest.mark.benchmark(group="a new second of a growing log")
@pytest.mark.parametrize("hertz", [10, 100])
def test_a_new_second_is_read_derived_and_shown_at_once(benchmark: Any, qtbot: QtBot, hertz: int) -> None:
    written = HEADER.encode() + lines(0, ON_HAND, hertz)
    began = time.perf_counter()
    prepared = prepare(written, "bay 3.csv")
    recording = to_recording(prepared.table, prepared.mapping).recording
    derive(recording, "R-134a", 101_325.0)
    rival_s = time.perf_counter() - began

    follower = Follower("bay 3.csv", prepared.mapping, "R-134a", Conditions(), own_channels("R-134a"))
    follower.feed(written)
    facts = Facts(1, "R-134a")
    plot = TimePlot()
    session: Session | None = None
    qtbot.addWidget(plot)
    plot.resize(900, 700)
    plot.show()
    pieces = [lines(ON_HAND + second * hertz, hertz, hertz) for second in range(SECONDS)]
    read_s: list[float] = []
    shown_s: list[float] = []

    def read(piece: bytes) -> None:
        began = time.perf_counter()
        delta = follower.feed(piece)
        read_s.append(time.perf_counter() - began)
        assert delta.count == hertz
        assert not delta.anew

    def show() -> None:
        nonlocal session
        samples, barometer_pa = follower.samples, follower.barometer_pa
        assert samples is not None
        assert barometer_pa is not None
        first = session.info.sample_count if session is not None else ON_HAND
        began = time.perf_counter()
        session = session_of("bay 3.csv", facts, samples, barometer_pa)
        values = {one.key: one.values for one in session.traces}
        new = {
            one.trace.key: one.on_axis.array(values[one.trace.key][first:])
            for panel in shown.plots
            for one in panel.placed
        }
        plot.append(session.recording.time_s[first:], new)
        plot.repaint()
        shown_s.append(time.perf_counter() - began)

    samples, barometer_pa = follower.samples, follower.barometer_pa
    assert samples is not None
    assert barometer_pa is not None
    start = session_of("bay 3.csv", facts, samples, barometer_pa)
    shown = ready(start, None, EIGHT_PLOTS, System.US)
    assert [len(one.placed) for one in shown.plots] == [1, 1, 2, 2, 2, 2, 1, 1]
    plot.set_panels(start.recording.time_s, shown.panels)
    qtbot.wait(50)
    pending = iter(pieces)

    def second() -> None:
        read(next(pending))
        show()

    benchmark.pedantic(second, rounds=SECONDS)
    whole = follower.samples
    assert whole is not None
    assert whole.time_s.size == ON_HAND + SECONDS * hertz
    off, on = np.array(read_s), np.array(shown_s)
    ratio = rival_s / float(np.median(off))
    benchmark.extra_info.update(ratio=round(ratio), shown_ms=round(1e3 * float(np.median(on)), 1))
    print(
        f"\n{hertz} Hz: read and derived in {1e3 * np.median(off):.1f} ms (worst {1e3 * off.max():.0f}), "
        f"shown in {1e3 * np.median(on):.1f} ms (worst {1e3 * on.max():.0f}); the whole file anew takes "
        f"{rival_s:.2f} s, {ratio:.0f} times as long"
    )
    assert np.median(off) < TARGET_S
    assert np.median(on) < TARGET_S
    assert ratio > TIMES_FASTER
