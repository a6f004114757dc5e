"""From recorded channels to the quantities of the trade, sample by sample."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.quantities import Kind, gauge_to_absolute, unit
from knowngood_refdata.records import Role
from knowngood_refdata.refrigerants import saturation
from knowngood_refdata.role_kinds import KIND_OF_ROLE

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from knowngood_refdata.records import Recording
    from knowngood_refdata.refrigerants import SaturationCurve


@dataclass(frozen=True, slots=True)
class Derived:
    """Recorded and derived quantities in SI on the recording's time axis.

    Every array is (n,); None where the recording has no channel for it. A saturation temperature and
    what follows from it is NaN where the pressure lies outside the refrigerant's curve. Pressures are
    absolute.
    """

    time_s: NDArray[np.float64]
    low_pa: NDArray[np.float64] | None = None
    high_pa: NDArray[np.float64] | None = None
    suction_line_k: NDArray[np.float64] | None = None
    liquid_line_k: NDArray[np.float64] | None = None
    vent_k: NDArray[np.float64] | None = None
    ambient_k: NDArray[np.float64] | None = None
    engine_rpm: NDArray[np.float64] | None = None
    evaporating_k: NDArray[np.float64] | None = None
    condensing_k: NDArray[np.float64] | None = None
    superheat_k: NDArray[np.float64] | None = None
    subcooling_k: NDArray[np.float64] | None = None
    condensing_above_ambient_k: NDArray[np.float64] | None = None
    evaporating_below_vent_k: NDArray[np.float64] | None = None
    pressure_ratio: NDArray[np.float64] | None = None


def derive(
    recording: Recording,
    refrigerant: str,
    barometer_pa: float,
    cleaned: Callable[[NDArray[np.float64]], NDArray[np.float64]] = lambda values: values,
) -> Derived:
    """Convert the channels to SI and work out saturation temperatures, superheat and subcooling.

    Parameters
    ----------
    recording
        Channels of n samples; of several channels with one role the first counts.
    refrigerant
        ``R-134a`` or ``R-1234yf``.
    barometer_pa
        Local air pressure from which the gauges count.
    cleaned
        What to do with the samples of each channel, (n,) in SI, before anything follows from them.

    Raises
    ------
    knowngood_refdata.refrigerants.UnknownRefrigerant
        When there is no saturation curve for the refrigerant.
    knowngood_refdata.quantities.UnknownUnit
        When a channel's unit does not fit its role.
    """

    def channel(role: Role) -> NDArray[np.float64] | None:
        values = channel_si(recording, role, barometer_pa)
        return None if values is None else cleaned(values)

    recorded = Derived(
        time_s=recording.time_s,
        low_pa=channel(Role.LOW_SIDE),
        high_pa=channel(Role.HIGH_SIDE),
        suction_line_k=channel(Role.SUCTION_LINE),
        liquid_line_k=channel(Role.LIQUID_LINE),
        vent_k=channel(Role.VENT),
        ambient_k=channel(Role.AMBIENT),
        engine_rpm=channel(Role.ENGINE_SPEED),
    )
    return derived_of(recorded, saturation(refrigerant))


def derived_of(recorded: Derived, curve: SaturationCurve) -> Derived:
    """Recorded channels with what follows from them; each derived one None where something is missing."""
    low, high = recorded.low_pa, recorded.high_pa
    suction, liquid = recorded.suction_line_k, recorded.liquid_line_k
    evaporating = None if low is None else curve.temperature_k(low)
    condensing = None if high is None else curve.temperature_k(high)
    return replace(
        recorded,
        evaporating_k=evaporating,
        condensing_k=condensing,
        superheat_k=_difference(suction, evaporating),
        subcooling_k=_difference(condensing, liquid),
        condensing_above_ambient_k=_difference(condensing, recorded.ambient_k),
        evaporating_below_vent_k=_difference(recorded.vent_k, evaporating),
        pressure_ratio=_ratio(high, low),
    )


def _difference(
    warmer: NDArray[np.float64] | None, colder: NDArray[np.float64] | None
) -> NDArray[np.float64] | None:
    return None if warmer is None or colder is None else warmer - colder


def _ratio(high: NDArray[np.float64] | None, low: NDArray[np.float64] | None) -> NDArray[np.float64] | None:
    """High side by low side; NaN where the low side is no pressure."""
    if high is None or low is None:
        return None
    return np.asarray(np.divide(high, low, out=np.full(low.shape, np.nan), where=low > 0.0))


def channel_si(recording: Recording, role: Role, barometer_pa: float = 0.0) -> NDArray[np.float64] | None:
    """The first channel of a role in SI, (n,), or None; a gauge pressure is made absolute."""
    kind = KIND_OF_ROLE[role]
    for channel in recording.channels:
        if channel.role is role:
            values = unit(channel.unit, kind).to_si(channel.values)
            vented = kind is Kind.PRESSURE and channel.gauge
            return gauge_to_absolute(values, barometer_pa) if vented else values
    return None
