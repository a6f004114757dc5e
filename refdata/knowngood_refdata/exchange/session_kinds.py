"""The kinds of record that a session is made of: log, samples, what was set, noted and found."""

from __future__ import annotations

from knowngood_refdata import models
from knowngood_refdata.exchange.fields import CONDITIONS, OF_SESSION, VALUE, Field, Kind, plain, ref, texts
from knowngood_refdata.exchange.finding_forms import BEHAVIOUR, EVIDENCE, WHOLE
from knowngood_refdata.exchange.forms import BYTES, COUNT, FLAG, INSTRUMENTS, MOMENT, NUMBER, choice
from knowngood_refdata.records import EventKind, Role, Stroke, Verdict, Weighed

SESSION_KINDS = (
    Kind(
        "log file",
        models.SourceFile,
        (*texts("sha256", "name"), *plain(COUNT, "size"), *plain(BYTES, "content")),
        ("sha256",),
        met=True,
        heavy=True,
    ),
    Kind(
        "session",
        models.SessionRow,
        (
            ref("vehicle", "configuration_id", optional=True, owner=True),
            ref("car", "unit_id", optional=True),
            ref("log file", "source_file_id"),
            *texts("title", "refrigerant", "technician", "note"),
            *plain(MOMENT, "started_at", optional=True),
            *plain(INSTRUMENTS, "instruments"),
            *plain(NUMBER, "duration_s"),
            *plain(COUNT, "sample_count"),
            *CONDITIONS,
            Field("cut of", COUNT, "parent_id", optional=True, to="session", needed=True),
            *plain(NUMBER, "from_s", "until_s", optional=True),
        ),
    ),
    Kind(
        "channel",
        models.ChannelRow,
        (
            OF_SESSION,
            *plain(COUNT, "position"),
            *texts("name"),
            *plain(choice(Role, "time"), "role"),
            *texts("unit"),
            *plain(FLAG, "gauge"),
            *plain(COUNT, "decimals"),
        ),
        ("session", "position"),
    ),
    Kind(
        "samples",
        models.ChannelChunk,
        (ref("channel", "channel_id", owner=True), *plain(COUNT, "number"), *plain(BYTES, "content")),
        ("channel", "number"),
        heavy=True,
    ),
    Kind(
        "note",
        models.Annotation,
        (
            OF_SESSION,
            *plain(choice(EventKind), "kind"),
            *plain(NUMBER, "at_s"),
            *plain(NUMBER, "until_s", optional=True),
            *texts("text"),
        ),
    ),
    Kind(
        "window set by hand",
        models.HandWindow,
        (OF_SESSION, *plain(NUMBER, "start_s", "end_s"), *texts("label")),
    ),
    Kind(
        "steady window",
        models.WindowRow,
        (
            OF_SESSION,
            *plain(NUMBER, "start_s", "end_s"),
            *plain(NUMBER, "engine_rpm", optional=True),
            *plain(COUNT, "fan_stage", optional=True),
            *texts("label"),
            *plain(FLAG, "by_hand"),
            Field(
                "window set by hand",
                COUNT,
                "hand_window_id",
                optional=True,
                to="window set by hand",
                needed=True,
            ),
            *plain(BEHAVIOUR, "behaviour"),
        ),
    ),
    Kind(
        "window value",
        models.WindowValue,
        (ref("steady window", "window_id", owner=True), *VALUE),
        ("steady window", "quantity"),
    ),
    Kind(
        "event",
        models.EventRow,
        (
            OF_SESSION,
            *plain(choice(EventKind), "kind"),
            *plain(NUMBER, "at_s"),
            *plain(NUMBER, "until_s", optional=True),
            *texts("text"),
            *plain(EVIDENCE, "evidence"),
        ),
    ),
    Kind(
        "response",
        models.ResponseRow,
        (
            OF_SESSION,
            *plain(
                NUMBER, "from_rpm", "to_rpm", "low_pa", "low_standard_uncertainty", "high_pa",
                "high_standard_uncertainty",
            ),
            *plain(choice(Verdict), "low", "high"),
            *plain(FLAG, "same_fan_stage"),
            *texts("remark"),
            *plain(
                NUMBER, "low_per_octave", "low_per_octave_standard_uncertainty", "high_per_octave",
                "high_per_octave_standard_uncertainty", "from_at_s", "to_at_s", optional=True,
            ),
        ),
    ),
    Kind(
        "weighing",
        models.WeighingRow,
        (OF_SESSION, *plain(choice(Weighed), "what"), *plain(NUMBER, "mass_kg", "standard_uncertainty")),
    ),
    Kind(
        "answer of a measurement",
        models.MeasurementAnswer,
        (OF_SESSION, *texts("measurement", "answer")),
    ),
    Kind("confirmed case", models.ConfirmedCase, (OF_SESSION, *texts("explanation", "how"))),
    Kind(
        "finding",
        models.SessionFinding,
        (OF_SESSION, *plain(choice(Stroke), "stroke", optional=True), *plain(WHOLE, "found")),
        ("session",),
    ),
)  # fmt: skip
