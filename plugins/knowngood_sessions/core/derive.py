"""From recorded channels to the quantities of the trade, sample by sample."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.quantities import Kind, gauge_to_absolute, unit
from knowngood_refdata.records import Role
from knowngood_refdata.refrigerants import saturation, subcooling_k, superheat_k

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from knowngood_refdata.records import Recording

KIND_OF_ROLE = {
    Role.LOW_SIDE: Kind.PRESSURE,
    Role.HIGH_SIDE: Kind.PRESSURE,
    Role.BAROMETER: Kind.PRESSURE,
    Role.SUCTION_LINE: Kind.TEMPERATURE,
    Role.LIQUID_LINE: Kind.TEMPERATURE,
    Role.DISCHARGE_LINE: Kind.TEMPERATURE,
    Role.VENT: Kind.TEMPERATURE,
    Role.AMBIENT: Kind.TEMPERATURE,
    Role.INTAKE: Kind.TEMPERATURE,
    Role.COOLANT: Kind.TEMPERATURE,
    Role.HUMIDITY: Kind.FRACTION,
    Role.ENGINE_SPEED: Kind.ROTATION,
}
"""What kind of quantity a role holds; roles that are not listed stay as recorded."""


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


def derive(recording: Recording, refrigerant: str, barometer_pa: float) -> Derived:
    """Convert the channels to SI and work out saturation temperatures, superheat and subcooling.

    Parameters
    ----------
    recording
        Channels of n samples; of several channels with one role the first counts.
    refrigerant
        ``R-134a`` or ``R-1234yf``.
    barometer_pa
        Local air pressure from which the gauges count.

    Raises
    ------
    knowngood_refdata.refrigerants.UnknownRefrigerant
        When there is no saturation curve for the refrigerant.
    knowngood_refdata.quantities.UnknownUnit
        When a channel's unit does not fit its role.
    """
    curve = saturation(refrigerant)
    low = channel_si(recording, Role.LOW_SIDE, barometer_pa)
    high = channel_si(recording, Role.HIGH_SIDE, barometer_pa)
    suction = channel_si(recording, Role.SUCTION_LINE)
    liquid = channel_si(recording, Role.LIQUID_LINE)
    ambient = channel_si(recording, Role.AMBIENT)
    condensing = None if high is None else curve.temperature_k(high)
    return Derived(
        time_s=recording.time_s,
        low_pa=low,
        high_pa=high,
        suction_line_k=suction,
        liquid_line_k=liquid,
        vent_k=channel_si(recording, Role.VENT),
        ambient_k=ambient,
        engine_rpm=channel_si(recording, Role.ENGINE_SPEED),
        evaporating_k=None if low is None else curve.temperature_k(low),
        condensing_k=condensing,
        superheat_k=None if low is None or suction is None else superheat_k(curve, low, suction),
        subcooling_k=None if high is None or liquid is None else subcooling_k(curve, high, liquid),
        condensing_above_ambient_k=None if condensing is None or ambient is None else condensing - ambient,
    )


def channel_si(recording: Recording, role: Role, barometer_pa: float = 0.0) -> NDArray[np.float64] | None:
    """The first channel of a role in SI, (n,), or None; a gauge pressure is made absolute."""
    kind = KIND_OF_ROLE[role]
    for channel in recording.channels:
        if channel.role is role:
            values = unit(channel.unit, kind).to_si(channel.values)
            vented = kind is Kind.PRESSURE and channel.gauge
            return gauge_to_absolute(values, barometer_pa) if vented else values
    return None
