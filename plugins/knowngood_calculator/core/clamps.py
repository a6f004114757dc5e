"""What a clamp in warm air does to a pipe's temperature: an error with a sign, told and not corrected."""

from __future__ import annotations

from enum import Enum

from knowngood_refdata.uncertainty import clamp_bias_k


class Seat(Enum):
    """How a clamp sits, with the largest share of the air around it that its sensor sees.

    Common practice, no source: 0.02 under insulation to 0.15 for a bare clamp in a moving hot air.
    """

    INSULATED = ("insulated", 0.02)
    BARE = ("bare", 0.10)
    BARE_IN_HOT_BAY = ("bare in a hot engine bay", 0.15)

    def __init__(self, label: str, air_seen: float) -> None:
        self.label = label
        self.air_seen = air_seen


def reading_bias_k(seat: Seat, reading_k: float, air_k: float) -> float:
    """How much [K] a clamp's reading lies above its pipe at most; negative in air colder than the pipe.

    The reading is r = pipe + f (air - pipe), so the pipe is (r - f air)/(1 - f) and the bias r - pipe, with f
    the air seen (`clamp_bias_k`).

    Parameters
    ----------
    reading_k, air_k
        What the clamp reads and the air around it [K].

    >>> round(reading_bias_k(Seat.BARE, 281.15 + 5.2, 333.15), 1)
    5.2
    """
    pipe_k = (reading_k - seat.air_seen * air_k) / (1.0 - seat.air_seen)
    return clamp_bias_k(seat.air_seen, pipe_k, air_k)
