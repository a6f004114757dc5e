"""The rules for derived channels that plugins bring, and for what they work out."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from knowngood.loader.rules import want, want_callable
from knowngood.loader.status import PluginMistake
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    import numpy as np
    from numpy.typing import NDArray

    from knowngood.api import DerivedChannel


def recorded_names() -> dict[str, str]:
    """The names that no derived channel can have, with who has them: the roles of recorded channels."""
    from knowngood_refdata.records import Role

    return {role.value: "recorded channels" for role in Role}


def check_channel(channel: DerivedChannel, owners: dict[str, str]) -> None:
    """Refuse a derived channel whose parts are of a wrong type or whose name is in use.

    Raises
    ------
    PluginMistake
        For such a channel; ``owners`` names who has each name.
    """
    name = f"its derived channel {channel.name!r}"
    want(channel.name, str, f"{name}: the name")
    want(channel.title, str, f"{name}: the title")
    if channel.kind is not None:
        want(channel.kind, Kind, f"{name}: the kind")
    want(channel.needs, tuple, f"{name}: what it needs")
    for needed in channel.needs:
        want(needed, str, f"{name}: a name that it needs")
    want_callable(channel.compute, f"{name}: compute")
    if not channel.name.strip() or not channel.title.strip():
        raise PluginMistake(f"{name}: it needs a name and a title")
    if not channel.needs:
        raise PluginMistake(f"{name}: it names no channel that it needs")
    if channel.name in channel.needs:
        raise PluginMistake(f"{name}: it needs itself")
    if channel.name in owners:
        raise PluginMistake(f"{name}: the name is used by {owners[channel.name]} already")


def checked(
    channel: DerivedChannel,
) -> Callable[[Mapping[str, NDArray[np.float64]]], NDArray[np.float64]]:
    """The channel's ``compute``, given its needs alone and read-only, and its answer looked at.

    Raises
    ------
    PluginMistake
        By the function, when the answer is no array of real numbers, one a sample, each finite or NaN.
    """

    def compute(given: Mapping[str, NDArray[np.float64]]) -> NDArray[np.float64]:
        needed = MappingProxyType({name: _read_only(given[name]) for name in channel.needs})
        return _looked_at(channel, channel.compute(needed), next(iter(needed.values())).shape)

    return compute


def _read_only(values: NDArray[np.float64]) -> NDArray[np.float64]:
    view = values.view()
    view.flags.writeable = False
    return view


def _looked_at(channel: DerivedChannel, answer: object, shape: tuple[int, ...]) -> NDArray[np.float64]:
    import numpy as np

    name = f"its derived channel {channel.name!r}"
    if not isinstance(answer, np.ndarray) or answer.dtype.kind != "f":
        what = (
            f"an array of {answer.dtype}" if isinstance(answer, np.ndarray) else f"a {type(answer).__name__}"
        )
        raise PluginMistake(f"{name} worked out {what}, not an array of real numbers")
    if answer.shape != shape:
        raise PluginMistake(f"{name} worked out the shape {answer.shape} for samples of the shape {shape}")
    values = answer.astype(np.float64)
    if np.isinf(values).any():
        raise PluginMistake(f"{name} worked out infinite values; where there is none, NaN stands")
    return values
