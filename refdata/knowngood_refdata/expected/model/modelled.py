"""What is modelled: the physically even quantities. Pressures follow from them at today's conditions."""

from __future__ import annotations

from enum import StrEnum

from knowngood_refdata.records import Quantity


class Modelled(StrEnum):
    """Quantities with a model of their own; temperatures and differences in kelvins.

    The answers to engine speed are changes of the logarithm of the absolute pressure a doubling of it.
    """

    EVAPORATING = "evaporating temperature"
    CONDENSING_ABOVE_AMBIENT = "condensing above ambient"
    SUPERHEAT = "superheat"
    SUBCOOLING = "subcooling"
    VENT = "vent temperature"
    LOW_RESPONSE = "low side per doubling of engine speed"
    HIGH_RESPONSE = "high side per doubling of engine speed"


STEADY = (
    Modelled.EVAPORATING,
    Modelled.CONDENSING_ABOVE_AMBIENT,
    Modelled.SUPERHEAT,
    Modelled.SUBCOOLING,
    Modelled.VENT,
)
RESPONSES = (Modelled.LOW_RESPONSE, Modelled.HIGH_RESPONSE)

BEHIND = {
    Quantity.LOW_SIDE: Modelled.EVAPORATING,
    Quantity.HIGH_SIDE: Modelled.CONDENSING_ABOVE_AMBIENT,
    Quantity.EVAPORATING: Modelled.EVAPORATING,
    Quantity.CONDENSING_ABOVE_AMBIENT: Modelled.CONDENSING_ABOVE_AMBIENT,
    Quantity.SUPERHEAT: Modelled.SUPERHEAT,
    Quantity.SUBCOOLING: Modelled.SUBCOOLING,
    Quantity.VENT: Modelled.VENT,
}
"""Which model stands behind a quantity that is shown."""

USUAL_SPREAD = {
    Modelled.EVAPORATING: 2.0,
    Modelled.CONDENSING_ABOVE_AMBIENT: 4.0,
    Modelled.SUPERHEAT: 3.0,
    Modelled.SUBCOOLING: 4.0,
    Modelled.VENT: 3.0,
    Modelled.LOW_RESPONSE: 0.08,
    Modelled.HIGH_RESPONSE: 0.08,
}
"""How far healthy families differ, as a standard deviation (common practice, no source): it steadies the
estimate from a library of few families and gives way to what the library shows."""

USUAL_UNCERTAINTY = {
    Modelled.EVAPORATING: 0.5,
    Modelled.CONDENSING_ABOVE_AMBIENT: 0.5,
    Modelled.SUPERHEAT: 0.8,
    Modelled.SUBCOOLING: 0.8,
    Modelled.VENT: 0.4,
    Modelled.LOW_RESPONSE: 0.02,
    Modelled.HIGH_RESPONSE: 0.02,
}
"""Standard uncertainty of a reading that states none (common practice, no source)."""
