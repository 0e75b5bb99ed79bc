"""The parts of a coded approach joined to one chain of legs: transition, final part; or vectors to the final course."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from legwise.geodesy.geodesics import inverse
from legwise.geodesy.lines import MIN_LEG_NM
from legwise.model.plan import AltitudeWindow, Fix, Leg
from legwise.plan.legs.lines import BESIDE_NM
from legwise.plan.legs.maker import LegMaker
from legwise.plan.legs.spec import BACK_AT_FIX, HOLDS, TO_FIX, Course, LegSpec


def joined(
    maker: LegMaker, transition: Sequence[LegSpec], final: Sequence[LegSpec]
) -> tuple[tuple[LegSpec, ...], str | None]:
    """The legs of a transition and of the final part after it, and a note where they leave a gap.

    The final part begins with an IF, which is left out where the transition ends at its fix. After a procedure turn, or
    a hold at another fix, the chain goes on with the course back: to the fix beside which the turn begins, as far in as
    the final approach fix, else to the first one after the IF. After a leg that ends on an intercept the IF becomes the
    course that is intercepted.
    """
    if not transition or not final or final[0].kind != "IF":
        return (*transition, *final), None
    last, first = transition[-1], final[0]
    if last.kind == "PI" or (last.kind in HOLDS and not _same_place(last.fix, first.fix)):
        # A turn that begins at the missed approach point leads back by way of the fixes before it.
        outer = max(next((n for n, spec in enumerate(final) if spec.role == "FAF"), 1), 1)
        beside = (n for n, spec in enumerate(final[: outer + 1]) if _apart_nm(spec.fix, last.fix) <= BESIDE_NM)
        return (*transition, *course_in(maker, final, next(beside, min(1, len(final) - 1)))), None
    if last.kind not in TO_FIX | BACK_AT_FIX:
        return (*transition, *course_in(maker, final, 0)), None
    if not _same_place(last.fix, first.fix):
        ends, begins = _ident(last.fix), _ident(first.fix)
        return (*transition, *final), f"its transition ends at {ends} and its final part begins at {begins}, unjoined"
    if last.kind in HOLDS and first.role == "FAF":
        return (*transition, *course_in(maker, final, 0)), None
    merged = replace(
        last,
        role="FAF" if first.role == "FAF" else last.role or first.role,
        altitude=_fuller(last.altitude, first.altitude),
        fly_over=last.fly_over or first.fly_over,
        vertical_angle_deg=last.vertical_angle_deg if last.vertical_angle_deg is not None else first.vertical_angle_deg,
    )
    return (*transition[:-1], merged, *final[1:]), None


def vectored(maker: LegMaker, final: Sequence[LegSpec]) -> tuple[LegSpec, ...]:
    """The final part for vectors: the course in to the final approach fix, from as far out as it is joined, and on."""
    faf = next((n for n, spec in enumerate(final) if spec.role == "FAF"), None)
    if faf is None:
        faf = next((n for n, spec in enumerate(final) if spec.kind != "IF"), 0)
    return course_in(maker, final, faf)


def course_in(maker: LegMaker, final: Sequence[LegSpec], at: int) -> tuple[LegSpec, ...]:
    """``final`` from the leg ``at`` on, which becomes the course to its fix that is joined from anywhere (a CF).

    Its course is the one on which that leg arrives, or where it is a point the one on which the next leg leaves. A leg
    that has neither stays as it is.
    """
    spec = final[at]
    course = spec.course if spec.kind == "CF" else _course_at(maker, final, at)
    if course is None:
        return tuple(final[at:])
    distance = spec.distance_nm if spec.kind == "CF" else None
    return replace(spec, kind="CF", course=course, distance_nm=distance), *final[at + 1 :]


def _course_at(maker: LegMaker, final: Sequence[LegSpec], at: int) -> Course | None:
    """The course through the fix of the leg ``at``: as it arrives, else as the next one leaves."""
    spec = final[at]
    true = None
    if spec.kind in ("TF", "RF", "AF") and at > 0:
        true = _path_of(maker, final[at - 1].fix, spec, arriving=True)
    elif at + 1 < len(final):
        true = _path_of(maker, spec.fix, final[at + 1], arriving=False)
    if true is None or spec.fix is None:
        return None
    return Course(true_deg=true, mag_deg=maker.magnetic(true, spec.fix, spec))


def _path_of(maker: LegMaker, start: Fix | None, spec: LegSpec, *, arriving: bool) -> float | None:
    """The course at the end of a leg's path, or at its start. [deg true] None where it has no path."""
    leg: Leg = maker.made((spec,), start)[0]
    if leg.path is None:
        return None
    return leg.path.end_course_deg_true if arriving else leg.path.start_course_deg_true


def _fuller(one: AltitudeWindow | None, other: AltitudeWindow | None) -> AltitudeWindow | None:
    """Of two altitudes at one fix the transition's, with the glidepath that the final part codes there."""
    if one is None or other is None:
        return one or other
    return replace(one, glidepath_ft=one.glidepath_ft if one.glidepath_ft is not None else other.glidepath_ft)


def _same_place(one: Fix | None, other: Fix | None) -> bool:
    return _apart_nm(one, other) < MIN_LEG_NM


def _apart_nm(one: Fix | None, other: Fix | None) -> float:
    """The distance between two fixes, infinite where one is missing. [NM]"""
    if one is None or other is None:
        return float("inf")
    return float(inverse(one.lat_deg, one.lon_deg, other.lat_deg, other.lon_deg)[0])


def _ident(fix: Fix | None) -> str:
    return fix.ident if fix is not None else "no fix"
