"""How sure the channels of a session are, each sample on its own, by what it was measured with."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.formatting import COVERAGE_95
from knowngood_refdata.role_kinds import KIND_OF_ROLE
from knowngood_sessions.core.channels.propagated import propagated, standard_uncertainties

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from knowngood_sessions.gather import Session

_WITH_A_KIND = {role.value for role in KIND_OF_ROLE}


def sure_within(session: Session, part: slice) -> dict[str, NDArray[np.float64]]:
    """Half the 95 % interval of the worked-out channels in a part of a session, (k,) by trace key in SI.

    It is what the instruments leave open; the bias of a clamp and what a rule itself is unsure of are not
    in it. A channel of which nothing is known is left out.
    """
    # A channel in a unit that does not fit its role is shown as recorded; nothing follows from it.
    recorded = {
        one.key: one.values[part]
        for one in session.traces
        if not one.worked_out and (one.what is not None or one.key not in _WITH_A_KIND)
    }
    standard = standard_uncertainties(session.info.instruments)
    return {
        name: COVERAGE_95 * found for name, found in propagated(session.rules, recorded, standard).items()
    }


def sure_at(session: Session, at_s: float) -> dict[str, float]:
    """The same at the sample nearest to a moment, recorded channels too."""
    place = session.samples.nearest(at_s)
    if place is None:
        return {}
    read = {name: COVERAGE_95 * one for name, one in standard_uncertainties(session.info.instruments).items()}
    worked_out = sure_within(session, slice(place, place + 1))
    return read | {name: float(one[0]) for name, one in worked_out.items()}
