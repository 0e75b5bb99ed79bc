"""Findings and assessments built by hand, and the words they become."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from legwise.explain import explain
from legwise.model.alignment import Alignment, FlownLeg
from legwise.model.arrays import FloatArray, readonly_bools, readonly_floats, readonly_ints
from legwise.model.deviations import Deviations, JudgedAltitude
from legwise.model.lesson import Lesson, PathTerminator
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
from legwise.model.track import AltitudeKind, Motion, Samples, Track, TrackSource
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


def _leg(kind: PathTerminator) -> LegResult:
    """BRAKO to CALDU, or direct to CALDU."""
    return LegResult(
        id="R1",
        kind=kind,
        from_="BRAKO" if kind != "DF" else "",
        to="CALDU",
        course_deg_true=0.0,
        course_deg_mag=0.0,
        distance_nm=10.0,
        start=START,
        end=START,
        cross_track_nm=CrossTrackFigures(mean=None, rms=None, p95_abs=None, max_abs=None, at_max=None),
        altitude_error_ft=Figures(mean=None, p95_abs=None, max_abs=None, at_max=None),
    )


def _alignment(questions: tuple[str, ...], size: int, kind: PathTerminator) -> Alignment:
    """One leg over the whole flight."""
    codes, flags = readonly_ints(np.full(size, -1)), readonly_bools(np.zeros(size, dtype=np.bool_))
    leg = FlownLeg(
        id="R1",
        kind=kind,
        from_ident="BRAKO" if kind != "DF" else "",
        to_ident="CALDU",
        path=None,
        course_deg_true=0.0,
        course_deg_mag=0.0,
        distance_nm=10.0,
        start=0,
        stop=size,
        planned=None,
        approach=None,
    )
    return Alignment(
        leg=readonly_ints(np.zeros(size)),
        guidance=codes,
        phase=codes,
        approach=codes,
        in_turn=flags,
        turn=codes,
        assigned_altitude_ft=NOTHING,
        altitude_owed=flags,
        heading_owed_deg_mag=NOTHING,
        established=flags,
        legs=(leg,),
        turns=(),
        approaches=(),
        instructions=(),
        questions=questions,
    )


def _track(size: int) -> Track:
    """A second between samples."""
    time_s = readonly_floats(START.timestamp() + np.arange(size))
    ones = readonly_ints(np.arange(size))
    return Track(
        samples=Samples(time_s=time_s, lat_deg=NOTHING, lon_deg=NOTHING, segment=ones, line=ones),
        source=TrackSource(file="", format="", sha256=""),
        motion=Motion(groundspeed_kt=NOTHING, track_deg_true=NOTHING, track_rate_dps=NOTHING),
        route=(),
        waypoints=(),
        faults=(),
        samples_read=size,
        first_time_s=float(time_s[0]),
        last_time_s=float(time_s[-1]),
        interval_s=1.0,
        gaps=(),
    )


def _deviations(cross_track_nm: FloatArray, accuracy_nm: float, kind: AltitudeKind | None) -> Deviations:
    judged = JudgedAltitude(
        kind=kind,
        altitude_ft=NOTHING,
        vertical_speed_fpm=NOTHING,
        accuracy_ft=0.0,
        against_assigned_ft=NOTHING,
        against_glidepath_ft=NOTHING,
        words="",
    )
    return Deviations(
        cross_track_nm=cross_track_nm,
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
        horizontal_accuracy_nm=accuracy_nm,
        horizontal_words="",
    )


@pytest.fixture
def told() -> Callable[..., Explanation]:
    """The explanation of findings: ``told(finding, finding, questions=(...))``.

    ``cross_track_nm`` is flown on the one leg, of ``kind``; ``clearances``, ``turns`` and the like are results.
    """

    def build(
        *findings: Finding, questions: tuple[str, ...] = (), standard: str = "faa-instrument", **parts: Any
    ) -> Explanation:
        kind = parts.get("kind", "TF")
        cross_track_nm = readonly_floats(parts.get("cross_track_nm", NOTHING))
        size = cross_track_nm.size
        assessment = Assessment(
            legs=(_leg(kind),),
            approaches=parts.get("approaches", ()),
            clearances=parts.get("clearances", ()),
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
            _track(size),
            plan,
            Lesson(),
            _alignment(questions, size, kind),
            _deviations(cross_track_nm, parts.get("accuracy_nm", 0.0), parts.get("altitude_kind")),
            assessment,
            standard_named(standard),
        )

    return build
