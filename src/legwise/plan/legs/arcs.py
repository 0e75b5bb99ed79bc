"""Legs along arcs: RF about a centre, AF at a distance from a DME station."""

from __future__ import annotations

import numpy as np

from legwise.errors import PlanError
from legwise.geodesy.arcs import ArcPath, arc_between
from legwise.geodesy.geodesics import direct, inverse
from legwise.model.lesson import Turn
from legwise.model.plan import Fix
from legwise.plan.legs.ground import Ground, Surroundings
from legwise.plan.legs.spec import LegSpec, needed

RF_OFF_CIRCLE_NM = 0.02
"""How far the ends of an RF may differ in their distance from its centre. Positions coded to 0.01 second explain 1 m,
and no more is found in real records; 0.02 NM (37 m) also takes positions written to 0.01 minute."""
AF_OFF_ARC_TOLD_NM = 0.2
"""A fix of an AF farther than this off its arc is told. Distances are coded to a tenth of a mile."""
AF_OFF_ARC_REFUSED_NM = 2.0
"""Farther than this it is not a fix of that arc. Common practice, no published source."""
AF_BOTH_OFF_REFUSED_NM = 0.5
"""Where both its fixes lie farther than this off an AF, by the same, they are fixes of another arc. The same."""
LONG_WAY_ROUND = 4.0
"""An arc this many times as long as the other way round is told: published arcs go the short way. Our choice."""

ARC_MOST_NM = 100.0
"""No arc is wider: published DME arcs are of 7 to 30 NM (standards sheet 7.2). Our choice."""


def radius_to_fix(spec: LegSpec, around: Surroundings) -> Ground:
    """An RF: the arc about its centre from the fix before it; its radius is the mean of both ends' distances.

    Raises
    ------
    PlanError
        No fix before it, no centre, no turn; the ends are not on one circle; an arc without length.
    """
    fix = needed(spec.fix, spec, "names no fix", 'Add fix = "...".')
    before = needed(around.before, spec, "needs a fix before it", "Begin with an IF leg.")
    centre = needed(spec.centre, spec, "has no centre", "Add centre, an ident or { lat_deg, lon_deg }.")
    turn: Turn = needed(spec.turn, spec, "has no turn", 'Add turn = "left" or "right".')
    first, last = _distances_nm(centre, before, fix)
    if abs(first - last) > RF_OFF_CIRCLE_NM:
        raise PlanError(
            f"the RF ends off its circle: {before.ident} lies {first:.3f} NM from the centre {centre.ident}, "
            f"{fix.ident} {last:.3f} NM",
            where=spec.where,
            remedy="Check the centre and both fixes: an RF keeps one radius.",
        )
    _check_radius(max(first, last), spec)
    arc = arc_between(*_place(centre), *_place(before), *_place(fix), turn)
    return _on(_whole(arc, before, fix, spec), spec, before, fix, centre, around)


def arc_to_fix(spec: LegSpec, around: Surroundings) -> Ground:
    """An AF: the arc of its radius about the DME station, from abeam the fix before it to abeam its own.

    Without a fix before it the arc begins on ``radial``. Distances are horizontal.

    Raises
    ------
    PlanError
        No centre, radius or turn; nothing to begin at; a fix that is not on the arc; an arc without length.
    """
    fix = needed(spec.fix, spec, "names no fix", 'Add fix = "...".')
    centre = needed(spec.centre, spec, "has no centre", "Add centre, the ident of the DME station.")
    radius = needed(spec.radius_nm, spec, "has no radius", "Add radius_nm.")
    turn: Turn = needed(spec.turn, spec, "has no turn", 'Add turn = "left" or "right".')
    _check_radius(radius, spec)
    before = around.before or _on_radial(spec, centre, radius)
    distances = _distances_nm(centre, before, fix)
    nearest, farthest = min(distances), max(distances)
    both_off = max(nearest - radius, radius - farthest) > AF_BOTH_OFF_REFUSED_NM
    if both_off and farthest - nearest <= AF_BOTH_OFF_REFUSED_NM:
        raise PlanError(
            f"{before.ident} lies {distances[0]:.2f} NM and {fix.ident} {distances[1]:.2f} NM from {centre.ident}: "
            f"neither is on the arc of {radius:g} NM",
            where=spec.where,
            remedy="Check radius_nm and the station.",
        )
    for end, distance in zip((before, fix), distances, strict=True):
        off = abs(distance - radius)
        found = f"{end.ident} lies {distance:.2f} NM from {centre.ident}, not on the arc of {radius:g} NM"
        if off > AF_OFF_ARC_REFUSED_NM:
            raise PlanError(found, where=spec.where, remedy="Check the station, radius_nm and the fix.")
        if off > AF_OFF_ARC_TOLD_NM:
            around.note(f"{found}; the arc was taken as published.")
    arc = _whole(arc_between(*_place(centre), *_place(before), *_place(fix), turn, radius_nm=radius), before, fix, spec)
    other_way = other_way_round(before, fix, centre, turn, radius_nm=radius)
    if other_way is not None and arc.length_nm > LONG_WAY_ROUND * other_way.length_nm:
        around.note(f"{before.ident} to {fix.ident}: {long_way_words(turn, arc.length_nm, other_way.length_nm)}.")
    return _on(arc, spec, around.before, fix, centre, around)


def other_way_round(
    before: Fix, fix: Fix, centre: Fix, turn: Turn, *, radius_nm: float | None = None
) -> ArcPath | None:
    """The arc between two fixes that turns to the other side; None where it has no length."""
    other: Turn = "left" if turn == "right" else "right"
    return arc_between(*_place(centre), *_place(before), *_place(fix), other, radius_nm=radius_nm)


def long_way_words(turn: Turn, long_nm: float, other_nm: float) -> str:
    """``"the arc turns right and so is 50.4 NM long; to the left it would be 12.4 NM"``."""
    other = "left" if turn == "right" else "right"
    return f"the arc turns {turn} and so is {long_nm:.1f} NM long; to the {other} it would be {other_nm:.1f} NM"


def _on(arc: ArcPath, spec: LegSpec, before: Fix | None, fix: Fix, centre: Fix, around: Surroundings) -> Ground:
    return Ground(
        path=arc,
        from_fix=before,
        to_fix=fix,
        course_deg_true=arc.start_course_deg_true,
        course_deg_mag=around.magnetic(arc.start_course_deg_true, before or fix, spec),
        distance_nm=arc.length_nm,
        centre=centre,
        radius_nm=arc.radius_nm,
    )


def _check_radius(radius_nm: float, spec: LegSpec) -> None:
    if radius_nm > ARC_MOST_NM:
        raise PlanError(
            f"the arc has a radius of {radius_nm:,.0f} NM; none is wider than {ARC_MOST_NM:g} NM",
            where=spec.where,
            remedy="Check the centre: another place may have that ident.",
        )


def _whole(arc: ArcPath | None, before: Fix, fix: Fix, spec: LegSpec) -> ArcPath:
    if arc is None:
        raise PlanError(
            f"the {spec.kind} leg from {before.ident} to {fix.ident} has no length",
            where=spec.where,
            remedy="Check its fixes and its centre.",
        )
    return arc


def _on_radial(spec: LegSpec, centre: Fix, radius_nm: float) -> Fix:
    radial = needed(spec.radial, spec, "needs a fix before it, where the arc begins", "Begin with an IF leg.")
    lat, lon, _course = direct(centre.lat_deg, centre.lon_deg, radial.true_deg, radius_nm)
    shown = radial.mag_deg if radial.mag_deg is not None else radial.true_deg
    return Fix(ident=f"{centre.ident} radial {shown:03.0f}", lat_deg=float(lat), lon_deg=float(lon))


def _place(fix: Fix) -> tuple[float, float]:
    return fix.lat_deg, fix.lon_deg


def _distances_nm(centre: Fix, before: Fix, fix: Fix) -> tuple[float, float]:
    found, _bearing, _arrival = inverse(
        centre.lat_deg,
        centre.lon_deg,
        np.array([before.lat_deg, fix.lat_deg]),
        np.array([before.lon_deg, fix.lon_deg]),
    )
    return float(found[0]), float(found[1])
