"""Holds, course reversals and arcs in ``debrief.json``: the contract's keys, with what is not known as null."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json

from legwise.model.results import (
    ArcResult,
    CircuitResult,
    DebriefResult,
    HoldResult,
    InboundFigures,
    RadiusFigures,
    ReversalResult,
)
from legwise.record import record_json

AT = dt.datetime(2026, 4, 18, 13, 31, 0, 500_000, tzinfo=dt.UTC)


def with_manoeuvres(result: DebriefResult, *, known: bool) -> DebriefResult:
    circuit = CircuitResult(
        start=AT,
        outbound_s=60.25 if known else None,
        inbound_s=58.5 if known else None,
        inbound_cross_track_nm=InboundFigures(max_abs=0.1234567 if known else None),
    )
    hold = HoldResult(
        fix="CALDU", turn="left", inbound_course_deg_true=192.5, inbound_course_deg_mag=200.0 if known else None,
        entry="teardrop" if known else None, entered_at=AT, left_at=AT, circuits=(circuit,),
    )  # fmt: skip
    reversal = ReversalResult(
        fix="HOLMA", kind="procedure-turn", side="left", max_distance_nm=7.25 if known else None, start=AT,
        established_inbound_at=AT if known else None,
    )  # fmt: skip
    error = RadiusFigures(mean=-0.1 if known else None, max_abs=0.4 if known else None, at_max=AT if known else None)
    arc = ArcResult(centre="TARN", radius_nm=11.0, start=AT, end=AT, radius_error_nm=error)
    return dataclasses.replace(
        result, assessment=dataclasses.replace(result.assessment, holds=(hold,), reversals=(reversal,), arcs=(arc,))
    )


def test_the_keys_are_the_contracts(result: DebriefResult) -> None:
    written = json.loads(record_json(with_manoeuvres(result, known=True)))

    at = "2026-04-18T13:31:00.5Z"
    assert written["holds"] == [
        {
            "fix": "CALDU",
            "turn": "left",
            "inbound_course_deg_true": 192.5,
            "inbound_course_deg_mag": 200.0,
            "entry": "teardrop",
            "entered_at": at,
            "left_at": at,
            "circuits": [
                {
                    "start": at,
                    "outbound_s": 60.25,
                    "inbound_s": 58.5,
                    "inbound_cross_track_nm": {"max_abs": 0.123457},
                }
            ],
        }
    ]
    assert written["reversals"] == [
        {
            "fix": "HOLMA",
            "kind": "procedure-turn",
            "side": "left",
            "max_distance_nm": 7.25,
            "start": at,
            "established_inbound_at": at,
        }
    ]
    assert written["arcs"] == [
        {
            "centre": "TARN",
            "radius_nm": 11.0,
            "start": at,
            "end": at,
            "radius_error_nm": {"mean": -0.1, "max_abs": 0.4, "at_max": at},
        }
    ]


def test_what_is_not_known_is_null(result: DebriefResult) -> None:
    written = json.loads(record_json(with_manoeuvres(result, known=False)))

    (hold,), (reversal,), (arc,) = written["holds"], written["reversals"], written["arcs"]
    assert hold["entry"] is None
    assert hold["inbound_course_deg_mag"] is None
    assert hold["circuits"][0]["outbound_s"] is None
    assert hold["circuits"][0]["inbound_s"] is None
    assert hold["circuits"][0]["inbound_cross_track_nm"] == {"max_abs": None}
    assert (reversal["max_distance_nm"], reversal["established_inbound_at"]) == (None, None)
    assert arc["radius_error_nm"] == {"mean": None, "max_abs": None, "at_max": None}
