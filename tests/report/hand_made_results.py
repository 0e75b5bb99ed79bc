"""What was found in the flight made by hand: standard, findings, causes, summary."""

from __future__ import annotations

import dataclasses

import numpy as np

from legwise.model.alignment import (
    Fact,
)
from legwise.model.arrays import FloatArray
from legwise.model.instants import instant
from legwise.model.plan import Fix
from legwise.model.results import (
    ApproachResult,
    Assessment,
    Cause,
    ClearanceResult,
    CrossTrackFigures,
    Explanation,
    Figures,
    Finding,
    LegResult,
    NeedleFigures,
    Summary,
    TurnResult,
    Verdict,
)
from legwise.model.standard import Quantity, Reference, Segment, Standard, Tolerance
from report.hand_made_flight import Walk


def made_standard(mark: str) -> Standard:
    source = Reference(document="FAA-S-ACS-8C", place="IR.VI.B.S12", status="from memory")
    every = frozenset(Segment)
    return Standard(
        name="faa-instrument", document="FAA-S-ACS-8C", title="Instrument Rating – Airplane" + mark,
        tolerances=(
            Tolerance(quantity=Quantity.ALTITUDE, unit="ft", low=-100.0, high=100.0, segments=every,
            task="IR.III.B", reference=source),
            Tolerance(quantity=Quantity.LATERAL_NEEDLE, unit="scale", low=-0.75, high=0.75, segments=every,
            task="IR.VI.B.S12", reference=source),
            Tolerance(quantity=Quantity.MDA, unit="ft", low=0.0, high=100.0, segments=every, task="IR.VI.A",
            reference=source),
        ),
        cautions=("The limits were read from a copy." + mark,),
    )  # fmt: skip


def _finding(time_s: FloatArray, number: int, mark: str, **changes: object) -> Finding:
    made = Finding(
        id=f"F{number}", standard="FAA-S-ACS-8C", task="IR.VI.B.S12", what="lateral needle", fix=None,
        verdict=Verdict.WITHIN,
        limit=0.75, unit="scale", worst=0.4, at_worst=instant(float(time_s[1000])), outside_s=0.0, excursions=0,
        correcting_after_s=None, uncertainty=0.01, from_=instant(float(time_s[700])), to=instant(float(time_s[1400])),
        source="FAA-S-ACS-8C, IR.VI.B.S12" + mark, leg="R2", reason="",
    )  # fmt: skip
    return dataclasses.replace(made, **changes)  # type: ignore[arg-type]


def made_assessment(walk: Walk, time_s: FloatArray, fixes: dict[str, Fix], mark: str, *, inferred: bool) -> Assessment:
    at = [instant(float(one)) for one in time_s]
    order = ["XTBN", "BRAKO", "CALDU", "HOLMA", "FERNU", "RW27"]
    legs = []
    for number, (start, stop) in enumerate(walk.spans):
        worst = start + int(np.argmax(np.abs(walk.cross[number])))
        legs.append(
            LegResult(
                id=("R1", "R2", "R3", "A1.2", "A1.3")[number], kind="TF", from_=fixes[order[number]].ident,
                to=fixes[order[number + 1]].ident, course_deg_true=74.6, course_deg_mag=83.9, distance_nm=24.0,
                start=at[start],
                end=at[stop - 1],
                cross_track_nm=CrossTrackFigures(
                    mean=float(walk.cross[number].mean()), rms=0.1, p95_abs=0.3,
                    max_abs=float(np.abs(walk.cross[number]).max()),
                    at_max=at[worst],
                ),
                altitude_error_ft=Figures(mean=3.0, p95_abs=50.0, max_abs=60.0,
                at_max=at[start + 300] if number < 3 else None)
                if number < 3
                else Figures(mean=None, p95_abs=None, max_abs=None, at_max=None),
            )
        )  # fmt: skip
    clearances = [
        ClearanceResult(
            time=at[1500], effect=at[1512], origin="said", kind="heading", text="fly heading 100" + mark,
            confidence=None,
            doubt="", values={"heading_deg_mag": 100},
        ),
    ]  # fmt: skip
    if inferred:
        clearances.append(
            ClearanceResult(
                time=at[1720], effect=at[1720], origin="inferred", kind="join",
                text="join the leg to HOLMA" + mark, confidence=0.7,
                doubt="Was own navigation resumed here?" + mark, values={},
            )
        )  # fmt: skip
    final = walk.spans[4][0]
    findings = (
        _finding(time_s, 1, mark),
        _finding(
            time_s, 2, mark, what="altitude", task="IR.III.B", verdict=Verdict.OUTSIDE, limit=100.0, unit="ft",
            worst=-130.0,
            at_worst=at[2000], outside_s=42.0, excursions=2, correcting_after_s=12.0, uncertainty=70.0, from_=at[1950],
            to=at[2100], leg="R3", reason="Descended through the altitude assigned." + mark,
        ),
        _finding(time_s, 3, mark, verdict=Verdict.UNDECIDED, worst=-0.76, from_=at[final], to=at[walk.count - 1],
        leg="A1.3"),
        _finding(
            time_s, 4, mark, what="airspeed", verdict=Verdict.NOT_RECORDED, limit=10.0, unit="kt", worst=None,
            at_worst=None,
            from_=at[final], to=at[walk.count - 1], leg="A1.3", reason="No airspeed in the log." + mark,
        ),
        _finding(
            time_s, 5, mark, what="crossing altitude", fix="FERNU" + mark, limit=0.0, unit="ft", worst=90.0,
            task="IR.VI.A",
            at_worst=at[final], from_=at[final], to=at[final], leg=None,
        ),
    )  # fmt: skip
    needle = NeedleFigures(p95_abs=0.2, max_abs=0.3, at_max=at[final + 20])
    approach = ApproachResult(
        airport="XSKH" + mark, procedure="R27" + mark, title="RNAV (GPS) RWY 27" + mark, guidance="LPV",
        runway="RW27" + mark,
        joined_at=at[walk.spans[3][0]], outcome="landed", circled=False, lowest_altitude_ft=140.0, minima_ft=338.0,
        lateral_needle=needle, vertical_needle=needle,
    )  # fmt: skip
    turn = TurnResult(
        at=at[560], fix="BRAKO" + mark, from_course_deg_true=40.0, to_course_deg_true=75.0, lead_nm=0.02,
        expected_lead_nm=0.15,
        start=at[558], end=at[572],
    )  # fmt: skip
    return Assessment(
        legs=tuple(legs),
        approaches=(approach,),
        clearances=tuple(clearances),
        findings=findings,
        turns=(turn,),
        missed=(),
    )


def made_empty_assessment() -> Assessment:
    return Assessment(legs=(), approaches=(), clearances=(), findings=(), turns=(), missed=())


def made_explanation(time_s: FloatArray, mark: str, *, bare: bool) -> Explanation:
    if bare:
        return Explanation(causes=(), summary=Summary(went_well=(), work_on=(), next_lesson=(), questions=()), facts=())
    cause = Cause(
        kind="late-turn", confidence="possible", text="Was the turn at BRAKO waited for the fix?" + mark,
        from_=instant(float(time_s[550])), to=instant(float(time_s[620])),
        evidence={"lead_nm": 0.02, "expected_lead_nm": 0.15, "rival": "no heading was said" + mark},
    )  # fmt: skip
    return Explanation(
        causes=(cause,),
        summary=Summary(
            went_well=(
                "On BRAKO to CALDU the needle stayed within half scale for 16 of 16 minutes (limit three quarters)."
                + mark,
                "The glidepath was met from below and held within half scale to the decision altitude.",
            ),
            work_on=(
                "At 13:33:20Z the aircraft was 130 ft below the 3,000 ft assigned (limit 100 ft) for 42 s." + mark,
            ),
            next_lesson=(
                "Two level-offs from a descent at 500 ft/min: within 50 ft of the altitude, five in a row." + mark,
            ),
            questions=("What was said at 13:28:40Z?" + mark,),
        ),
        facts=(Fact(time_s=float(time_s[2200]), text="Established 3 NM before the final fix." + mark),),
    )
