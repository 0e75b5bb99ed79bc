"""Holds, course reversals and arcs on the page: a line each, in words, what is not known said so."""

from __future__ import annotations

import dataclasses
import datetime as dt

from legwise.model.results import (
    ArcResult,
    CircuitResult,
    DebriefResult,
    HoldResult,
    InboundFigures,
    RadiusFigures,
    ReversalResult,
)
from legwise.report import render, view_of
from report.conftest import MakeFlight

AT = dt.datetime(2026, 4, 18, 13, 31, 5, tzinfo=dt.UTC)
MINUTE = dt.timedelta(minutes=1)


def circuit(number: int, *, known: bool = True) -> CircuitResult:
    return CircuitResult(
        start=AT + 4 * number * MINUTE,
        outbound_s=62.4 if known else None,
        inbound_s=71.0 if known else None,
        inbound_cross_track_nm=InboundFigures(max_abs=0.314 if known else None),
    )


def flown(make_flight: MakeFlight, mark: str = "") -> DebriefResult:
    result = make_flight(mark=mark)
    holds = (
        HoldResult(
            fix="CALDU" + mark, turn="left", inbound_course_deg_true=192.5, inbound_course_deg_mag=200.2,
            entry="teardrop", entered_at=AT, left_at=AT + 12 * MINUTE, circuits=(circuit(1), circuit(2, known=False)),
        ),
        HoldResult(
            fix="HOLMA" + mark, turn="right", inbound_course_deg_true=359.7, inbound_course_deg_mag=None, entry=None,
            entered_at=AT, left_at=AT, circuits=(),
        ),
    )  # fmt: skip
    reversals = (
        ReversalResult(
            fix="HOLMA" + mark, kind="procedure-turn", side="left", max_distance_nm=7.254, start=AT,
            established_inbound_at=AT + 3 * MINUTE,
        ),
        ReversalResult(
            fix="HOLMA" + mark, kind="hold-in-lieu", side="right", max_distance_nm=None, start=AT,
            established_inbound_at=None,
        ),
    )  # fmt: skip
    arcs = (
        ArcResult(
            centre="TARN" + mark, radius_nm=11.0, start=AT, end=AT + 5 * MINUTE,
            radius_error_nm=RadiusFigures(mean=-0.12, max_abs=0.456, at_max=AT + MINUTE),
        ),
    )  # fmt: skip
    assessment = dataclasses.replace(result.assessment, holds=holds, reversals=reversals, arcs=arcs)
    return dataclasses.replace(result, assessment=assessment)


def test_each_hold_circuit_reversal_and_arc_is_a_line_in_words(make_flight: MakeFlight) -> None:
    holds, reversals, arcs = view_of(flown(make_flight)).manoeuvres

    assert [(row.name, row.cells) for row in holds.rows] == [
        ("CALDU, left turns", ("200° magnetic", "teardrop entry", "13:31:05Z to 13:43:05Z", "", "", "")),
        ("CALDU, circuit 1", ("", "", "13:35:05Z", "1 min 02 s", "1 min 11 s", "0.31 NM")),
        ("CALDU, circuit 2", ("", "", "13:39:05Z", "not recorded", "not recorded", "not recorded")),
        ("HOLMA, right turns", ("000° true", "the log does not show it", "13:31:05Z to 13:31:05Z", "", "", "")),
    ]
    assert [(row.name, row.cells) for row in reversals.rows] == [
        ("HOLMA", ("procedure turn", "left", "13:31:05Z", "13:34:05Z", "7.25 NM")),
        ("HOLMA", ("hold in lieu", "right", "13:31:05Z", "not established", "not recorded")),
    ]
    assert [(row.name, row.cells) for row in arcs.rows] == [
        ("TARN", ("11.00 NM", "13:31:05Z to 13:36:05Z", "0.12 NM left of course", "0.46 NM at 13:32:05Z")),
    ]
    assert all(len(row.cells) == len(table.columns) for table in (holds, reversals, arcs) for row in table.rows)


def test_the_page_holds_them_and_no_markup_of_a_file(make_flight: MakeFlight) -> None:
    page = render(view_of(flown(make_flight, mark="<b>x</b>")))

    for heading in (">Holds<", ">Course reversals<", ">DME arcs<"):
        assert heading in page
    assert "teardrop entry" in page
    assert "<b>x</b>" not in page


def test_without_any_the_page_has_no_such_tables(make_flight: MakeFlight) -> None:
    view = view_of(make_flight())

    assert view.manoeuvres == ()
    assert ">Holds<" not in render(view)
