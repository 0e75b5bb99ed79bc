"""Findings and assessments built by hand, and the words they become."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from legwise.explain import explain
from legwise.model.alignment import Alignment
from legwise.model.arrays import readonly_bools, readonly_floats, readonly_ints
from legwise.model.deviations import Deviations, JudgedAltitude
from legwise.model.lesson import Lesson
from legwise.model.plan import Plan
from legwise.model.results import (
    Assessment,
    CrossTrackFigures,
    Explanation,
    Figures,
    Finding,
    LegResult,
    Verdict,
)
from legwise.model.track import Motion, Samples, Track, TrackSource
from legwise.standards import standard_named

START = dt.datetime(2026, 4, 18, 13, 0, tzinfo=dt.UTC)
NOTHING = readonly_floats(np.full(2, np.nan))


@pytest.fixture
def finding() -> Callable[..., Finding]:
    """A finding: ``finding("altitude", worst=130, limit=100)``; outside where the worst is beyond the limit."""

    def build(what: str, *, worst: float | None = None, limit: float = 100.0, **said: Any) -> Finding:
        units = {
            "altitude": "ft",
            "crossing altitude": "ft",
            "MDA": "ft",
            "DA": "ft",
            "heading": "deg",
            "cross-track": "nm",
        }
        verdict = Verdict.OUTSIDE if worst is not None and abs(worst) > limit else Verdict.WITHIN
        values: dict[str, Any] = {
            "id": "F1",
            "standard": "FAA-S-ACS-8C",
            "task": "IR.V.B.S7",
            "what": what,
            "fix": None,
            "verdict": verdict if worst is not None else Verdict.NOT_RECORDED,
            "limit": limit,
            "unit": units.get(what, "scale"),
            "worst": worst,
            "at_worst": None if worst is None else START + dt.timedelta(seconds=90),
            "outside_s": 30.0 if verdict is Verdict.OUTSIDE else 0.0,
            "excursions": 1 if verdict is Verdict.OUTSIDE else 0,
            "correcting_after_s": None,
            "uncertainty": 0.0,
            "from_": START,
            "to": START + dt.timedelta(seconds=300),
            "source": "FAA-S-ACS-8C, IR.V.B.S7",
            "leg": "R1",
            "reason": "",
            "segment": "route",
        }
        return Finding(**(values | said))

    return build


def _leg() -> LegResult:
    return LegResult(
        id="R1",
        kind="TF",
        from_="BRAKO",
        to="CALDU",
        course_deg_true=0.0,
        course_deg_mag=0.0,
        distance_nm=10.0,
        start=START,
        end=START,
        cross_track_nm=CrossTrackFigures(mean=None, rms=None, p95_abs=None, max_abs=None, at_max=None),
        altitude_error_ft=Figures(mean=None, p95_abs=None, max_abs=None, at_max=None),
    )


def _alignment(questions: tuple[str, ...]) -> Alignment:
    codes, flags = readonly_ints([-1, -1]), readonly_bools([False, False])
    return Alignment(
        leg=codes,
        guidance=codes,
        phase=codes,
        approach=codes,
        in_turn=flags,
        turn=codes,
        assigned_altitude_ft=NOTHING,
        altitude_owed=flags,
        heading_owed_deg_mag=NOTHING,
        established=flags,
        legs=(),
        turns=(),
        approaches=(),
        instructions=(),
        questions=questions,
    )


def _track() -> Track:
    time_s = readonly_floats([START.timestamp(), START.timestamp() + 1])
    ones = readonly_ints([0, 1])
    return Track(
        samples=Samples(time_s=time_s, lat_deg=NOTHING, lon_deg=NOTHING, segment=ones, line=ones),
        source=TrackSource(file="", format="", sha256=""),
        motion=Motion(groundspeed_kt=NOTHING, track_deg_true=NOTHING, track_rate_dps=NOTHING),
        route=(),
        waypoints=(),
        faults=(),
        samples_read=2,
        first_time_s=float(time_s[0]),
        last_time_s=float(time_s[1]),
        interval_s=1.0,
        gaps=(),
    )


def _deviations() -> Deviations:
    judged = JudgedAltitude(
        kind=None,
        altitude_ft=NOTHING,
        vertical_speed_fpm=NOTHING,
        accuracy_ft=0.0,
        against_assigned_ft=NOTHING,
        against_glidepath_ft=NOTHING,
        words="",
    )
    return Deviations(
        cross_track_nm=NOTHING,
        along_track_to_go_nm=NOTHING,
        course_deg_true=NOTHING,
        track_error_deg=NOTHING,
        lateral_full_scale_nm=NOTHING,
        lateral_needle=NOTHING,
        vertical_path_ft=NOTHING,
        vertical_deviation_ft=NOTHING,
        vertical_full_scale_ft=NOTHING,
        vertical_needle=NOTHING,
        assigned_altitude_ft=NOTHING,
        altitude_error_ft=NOTHING,
        heading_error_deg=NOTHING,
        judged=judged,
        horizontal_accuracy_nm=0.0,
        horizontal_words="",
    )


@pytest.fixture
def told() -> Callable[..., Explanation]:
    """The explanation of findings: ``told(finding, finding, questions=(...))``."""

    def build(
        *findings: Finding, questions: tuple[str, ...] = (), standard: str = "faa-instrument", **parts: Any
    ) -> Explanation:
        assessment = Assessment(
            legs=(_leg(),),
            approaches=parts.get("approaches", ()),
            clearances=(),
            findings=findings,
            turns=parts.get("turns", ()),
            missed=parts.get("missed", ()),
        )
        plan = Plan(
            source="none",
            departure=None,
            destination=None,
            route=(),
            route_altitude_ft=None,
            approaches=parts.get("planned", ()),
            fixes=(),
        )
        return explain(
            _track(), plan, Lesson(), _alignment(questions), _deviations(), assessment, standard_named(standard)
        )

    return build
