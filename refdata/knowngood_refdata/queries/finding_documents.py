"""Findings that are only ever read whole, between records and the documents they are stored as.

Estimates stand as a pair of value and standard uncertainty; what is not there is left out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from knowngood_refdata.records import (
    Behaviour,
    Estimate,
    EventKind,
    Evidence,
    FanThreshold,
    Findings,
    Quantity,
    Recovery,
    Role,
    Stroke,
    StrokeFinding,
    Unsettled,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from knowngood_refdata.records import Event

Document = dict[str, Any]


def behaviour_document(behaviour: Mapping[Quantity, Behaviour]) -> Document:
    """How the quantities of a window behaved, by the name of the quantity."""
    return {quantity.value: _behaviour(one) for quantity, one in behaviour.items()}


def behaviour_of(document: Document) -> dict[Quantity, Behaviour]:
    """The behaviours in a document, in the order that quantities are shown in."""
    return {
        quantity: Behaviour(
            spread=one["spread"],
            drift_per_s=Estimate(*one["drift_per_s"]),
            independent=one["independent"],
            amplitude=one.get("amplitude"),
            period_s=one.get("period_s"),
        )
        for quantity in Quantity
        if (one := document.get(quantity.value)) is not None
    }


def event_document(event: Event) -> Document:
    """Where an event comes from, and how well its moment is known; empty where neither is kept."""
    return _filled({**evidence_document(event.evidence), "within_s": _number(event.within_s)})


def evidence_document(evidence: Evidence | None) -> Document:
    """Where a finding comes from; empty for None."""
    if evidence is None:
        return {}
    return {
        "from_s": float(evidence.from_s),
        "until_s": float(evidence.until_s),
        "channels": [one.value for one in evidence.channels],
    }


def evidence_of(document: Document) -> Evidence | None:
    """The evidence in a document, None where there is none in it."""
    if "from_s" not in document:
        return None
    channels = tuple(Role(one) for one in document["channels"])
    return Evidence(document["from_s"], document["until_s"], channels)


def whole_document(found: Findings) -> Document:
    """What was found of a session as a whole; empty when nothing was."""
    parts: Document = {
        "unsettled": [_unsettled(one) for one in found.unsettled],
        "fan": [_threshold(one) for one in found.fan],
        "recoveries": [_recovery(one) for one in found.recoveries],
        "stroke": [] if found.stroke is None else list(found.stroke.evidence),
    }
    return {name: part for name, part in parts.items() if part}


def whole_of(document: Document, stroke: str | None) -> Findings:
    """Findings that hold only what stands in a document."""
    said = _sentences(document.get("stroke", ()))
    return Findings(
        unsettled=tuple(
            Unsettled(one["start_s"], one["end_s"], _sentences(one["reasons"]))
            for one in document.get("unsettled", ())
        ),
        fan=tuple(_threshold_of(one) for one in document.get("fan", ())),
        recoveries=tuple(_recovery_of(one) for one in document.get("recoveries", ())),
        stroke=None if stroke is None else StrokeFinding(Stroke(stroke), said),
    )


def _threshold_of(one: Document) -> FanThreshold:
    return FanThreshold(
        one.get("stage"),
        _pair(one, "up_pa"),
        _pair(one, "down_pa"),
        one["ups"],
        one["downs"],
        evidence_of(one.get("evidence", {})),
    )


def _recovery_of(one: Document) -> Recovery:
    slowest = Role(one["slowest"]) if "slowest" in one else None
    return Recovery(EventKind(one["after"]), one["at_s"], one["seconds"], slowest)


def _behaviour(one: Behaviour) -> Document:
    return _filled(
        {
            "spread": _number(one.spread),
            "drift_per_s": _estimate(one.drift_per_s),
            "independent": _number(one.independent),
            "amplitude": _number(one.amplitude),
            "period_s": _number(one.period_s),
        }
    )


def _unsettled(one: Unsettled) -> Document:
    return {"start_s": _number(one.start_s), "end_s": _number(one.end_s), "reasons": list(one.reasons)}


def _threshold(one: FanThreshold) -> Document:
    return _filled(
        {
            "stage": None if one.stage is None else int(one.stage),
            "up_pa": _estimate(one.up_pa),
            "down_pa": _estimate(one.down_pa),
            "ups": int(one.ups),
            "downs": int(one.downs),
            "evidence": None if one.evidence is None else evidence_document(one.evidence),
        }
    )


def _recovery(one: Recovery) -> Document:
    return _filled(
        {
            "after": one.after.value,
            "at_s": _number(one.at_s),
            "seconds": _number(one.seconds),
            "slowest": None if one.slowest is None else one.slowest.value,
        }
    )


def _estimate(one: Estimate | None) -> list[float] | None:
    return None if one is None else [float(one.value), float(one.standard_uncertainty)]


def _number(value: float | None) -> float | None:
    # A number of numpy is none that JSON could hold.
    return None if value is None else float(value)


def _sentences(given: Iterable[object]) -> tuple[str, ...]:
    sentences = tuple(given)
    if not all(isinstance(one, str) for one in sentences):
        raise TypeError("sentences were expected")
    return tuple(str(one) for one in sentences)


def _pair(document: Document, name: str) -> Estimate | None:
    return Estimate(*document[name]) if name in document else None


def _filled(document: Document) -> Document:
    return {name: value for name, value in document.items() if value is not None}
