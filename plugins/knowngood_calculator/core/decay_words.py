"""Pressures, rates and times as they stand in the reasons, in both unit systems."""

from __future__ import annotations

from .evacuation import MICRON_PA


def vacuum(pressure_pa: float) -> str:
    """An absolute pressure [Pa] in micron and in pascal.

    >>> vacuum(193.3)
    '1,450 micron (193 Pa)'
    """
    return f"{_figures(pressure_pa / MICRON_PA):,.0f} micron ({_pascal(pressure_pa)})"


def per_ten_minutes(rate_pa_s: float) -> str:
    """A rate [Pa/s] as what it brings in 10 min.

    >>> per_ten_minutes(0.05)
    '230 micron (30 Pa) in 10 min'
    """
    rise = 600.0 * rate_pa_s
    return f"{float(f'{rise / MICRON_PA:.2g}'):,.0f} micron ({_pascal(float(f'{rise:.2g}'))}) in 10 min"


def duration(seconds: float) -> str:
    """A time [s] in minutes and seconds.

    >>> duration(600.0), duration(275.0), duration(40.0)
    ('10 min', '4 min 35 s', '40 s')
    """
    minutes, rest = divmod(round(seconds), 60)
    parts = [f"{minutes} min"] if minutes else []
    if rest or not minutes:
        parts.append(f"{rest} s")
    return " ".join(parts)


def _figures(value: float) -> float:
    """Rounded to three figures: no gauge of this kind is better."""
    return float(f"{value:.3g}")


def _pascal(pressure_pa: float) -> str:
    if pressure_pa >= 10_000.0:
        return f"{_figures(pressure_pa) / 1e3:.3g} kPa"
    return f"{_figures(pressure_pa):,.0f} Pa" if pressure_pa >= 10.0 else f"{pressure_pa:.2g} Pa"
