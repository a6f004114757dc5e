"""What a load cannot tell is said, with the load that can."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_checkup.core.explain.faults import Fault
from knowngood_checkup.core.explain.inference import weigh
from knowngood_checkup.core.explain.masked import LoadThatCan, hidden
from knowngood_refdata.records import CompressorKind

from .conftest import OFF

if TYPE_CHECKING:
    from .conftest import Make


def hidden_faults(observed: object) -> dict[str, LoadThatCan]:
    return {one.fault: one.shows_at for one in hidden(observed)}  # type: ignore[arg-type]


def test_a_regulating_compressor_hides_that_it_is_weak(session: Make) -> None:
    # A lumped cycle with 40 % less delivered volume at moderate load: low side 28 to 28 psi, high side 116
    # to 115 psi, vent unchanged. Only full stroke shows it.
    observed = session((0.0, -0.2, 0.0, 0.0, 0.0), None, full_stroke=(0.02, 0.02))
    assert weigh(observed)[0].fault is Fault.HEALTHY
    assert hidden_faults(observed)[Fault.WEAK_COMPRESSOR] is LoadThatCan.FULL


def test_full_stroke_hides_what_is_wrong_with_the_control(session: Make) -> None:
    observed = session(OFF, None, full_stroke=(0.98, 0.98))
    found = hidden_faults(observed)
    assert found[Fault.MAXIMUM_STROKE] is LoadThatCan.LIGHT
    assert Fault.WEAK_COMPRESSOR not in found


def test_a_fixed_compressor_hides_nothing_but_the_reserve(session: Make) -> None:
    found = hidden_faults(session(OFF, None, CompressorKind.FIXED))
    assert found == {Fault.RESERVE_LOW: LoadThatCan.NONE}


def test_what_was_not_measured_cannot_be_told(session: Make) -> None:
    found = hidden_faults(session(None, None, CompressorKind.FIXED))
    assert found[Fault.OVERCHARGE] is LoadThatCan.MORE
    assert Fault.HEALTHY not in found
