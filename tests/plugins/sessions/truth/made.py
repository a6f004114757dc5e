"""Sessions with their truth, for scoring what the analysis finds.

``session(maker, seed)`` gives one `TrueSession`, ``sessions(maker, count)`` the first so many; each is made
once and kept in memory. There are two makers of truth that have nothing in common:

- ``simulated``: the demo's cars, all kinds of compressor, both refrigerants, with fan stages that switch
  by pressure and coolant, clutches that cycle, charges that are off (see `simulated`);
- ``lagged``: first-order lags between targets drawn at random, with ramps and hunting (see `lagged`).

Both are seen through the same sort of logger (see `shown`): sampling 0.1 to 2 s, even or not, white or
correlated noise, dial or digital gauges with an own error, coarse last digits, samples missing.

What a `TrueSession` holds:

- ``recording``: what the logger wrote, pressures in psi gauge; ``conditions`` (barometer, ambient, fan
  stage at the start), ``instruments`` and ``refrigerant``: what `analyse` is given;
- ``run``: the noise-free truth every 0.2 s (`runs.Run`): ``channels`` in SI, ``engine_steps``,
  ``fan_changes``, ``compressor_changes``, ``load_changes_s``, ``hunting``, and ``plateaus`` with the moment
  from which each is steady and its settled values;
- ``own_errors``: by how much each instrument reads too high, all session long (SI). `settled` gives a
  plateau's superheat and subcooling with that error in it, as nobody could see it removed.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from tests.plugins.sessions.truth.lagged import lagged
from tests.plugins.sessions.truth.shown import Logger, logger, shown
from tests.plugins.sessions.truth.simulated import simulated

from knowngood_refdata.records import Conditions, Quantity, Role
from knowngood_refdata.refrigerants import saturation

if TYPE_CHECKING:
    from collections.abc import Mapping

    from tests.plugins.sessions.truth.runs import Plateau, Run

    from knowngood_refdata.records import Instruments, Recording

MAKERS = {"simulated": simulated, "lagged": lagged}


@dataclass(frozen=True, eq=False)
class TrueSession:
    """A recording and what really happened; see the module."""

    name: str
    recording: Recording
    conditions: Conditions
    run: Run
    logger: Logger
    own_errors: Mapping[Role, float]

    @property
    def refrigerant(self) -> str:
        """The refrigerant's designation."""
        return self.run.refrigerant

    @property
    def instruments(self) -> Instruments:
        """What the session was measured with."""
        return self.logger.instruments

    def settled(self, plateau: Plateau) -> dict[Quantity, float]:
        """Settled values of a plateau as instruments without noise, but with their own errors, show them."""
        curve, own = saturation(self.refrigerant), self.own_errors
        low = plateau.settled["low_pa"] + own[Role.LOW_SIDE]
        high = plateau.settled["high_pa"] + own[Role.HIGH_SIDE]
        suction = plateau.settled["suction_line_k"] + own[Role.SUCTION_LINE]
        liquid = plateau.settled["liquid_line_k"] + own[Role.LIQUID_LINE]
        return {
            Quantity.LOW_SIDE: low,
            Quantity.HIGH_SIDE: high,
            Quantity.SUPERHEAT: suction - curve.temperature_k(low),
            Quantity.SUBCOOLING: curve.temperature_k(high) - liquid,
        }


@cache
def session(maker: str, seed: int) -> TrueSession:
    """The session of a maker and a seed; the same ones give the same session."""
    run = MAKERS[maker](seed)
    random = np.random.default_rng(90_000 + seed)
    how = logger(random)
    barometer_pa = float(random.uniform(80e3, 103e3))
    recording, own = shown(run, how, barometer_pa, random)
    conditions = Conditions(
        ambient_k=float(run.channels["ambient_k"][0]),
        barometer_pa=barometer_pa,
        fan_stage=int(run.fan_stage[0]),
    )
    return TrueSession(f"{maker} {seed}", recording, conditions, run, how, own)


def sessions(maker: str, count: int) -> tuple[TrueSession, ...]:
    """The first ``count`` sessions of a maker."""
    return tuple(session(maker, seed) for seed in range(count))
