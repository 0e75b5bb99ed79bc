"""The plan view: the planned and flown paths, the corridor of the needle's full scale, fixes, and what was said
where.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from legwise.look import words
from legwise.model.alignment import FlownLeg
from legwise.model.arrays import FloatArray, readonly_floats
from legwise.model.plan import Fix, Leg, LegPart, Path
from legwise.model.results import DebriefResult
from legwise.report.content import PlanLine, PlanPicture, PlanPoint, Series
from legwise.report.labels import placed
from legwise.report.series import LocalPlane

_POINTS_A_LEG = 25
_MARGIN = 0.1
MOST_NUMBERS = 20
"""More numbers than these hide what they stand for: the places of what was said are then dots alone."""
GRIDS_NM = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0)
"""Sides of the grid's squares; the smallest is taken that puts at most eight across the picture."""


def plan_picture(result: DebriefResult, series: Series, plane: LocalPlane) -> PlanPicture:
    """The plan view's lines, points and frame, in the plane of ``series``."""
    lines = (*_corridors(result, plane), *_planned_lines(result, plane), *_flown_lines(result, plane))
    points = (*_fix_points(result, plane), *_runway_points(result, plane), *_said_points(result, plane))
    box = _box(series, lines, points)
    points = placed(points, series, box)
    reach = max(box[1] - box[0], box[3] - box[2])
    grid = next((side for side in GRIDS_NM if reach / side <= 8), GRIDS_NM[-1])
    return PlanPicture(lines=lines, points=points, grid_nm=grid, box=box)


def _line(kind: str, path: Path, to_go_nm: FloatArray, plane: LocalPlane) -> PlanLine:
    east, north = plane.place(*path.point_at(to_go_nm))
    return PlanLine(kind=kind, east_nm=readonly_floats(np.round(east, 4)), north_nm=readonly_floats(np.round(north, 4)))


def _planned_legs(result: DebriefResult) -> Iterator[tuple[str, Leg]]:
    yield from (("route", leg) for leg in result.plan.route)
    for approach in result.plan.approaches:
        yield from (("approach", leg) for leg in approach.legs)
        yield from (("missed", leg) for leg in approach.missed)


def _planned_lines(result: DebriefResult, plane: LocalPlane) -> Iterator[PlanLine]:
    for kind, leg in _planned_legs(result):
        length = leg.distance_nm if leg.path is None or np.isinf(leg.path.length_nm) else leg.path.length_nm
        if leg.path is not None and length is not None:
            yield _line(kind, leg.path, np.linspace(length, 0.0, _POINTS_A_LEG), plane)
    for approach in result.plan.approaches:
        if approach.runway is not None and approach.final_path is not None:
            length_nm = approach.runway.length_ft * 0.3048 / 1852.0
            yield _line("runway", approach.final_path, np.array([0.0, -length_nm]), plane)


def _flown_lines(result: DebriefResult, plane: LocalPlane) -> Iterator[PlanLine]:
    for leg in result.alignment.legs:
        if leg.planned is None and leg.path is not None and np.isfinite(leg.path.length_nm):
            yield _line("direct", leg.path, np.linspace(leg.path.length_nm, 0.0, _POINTS_A_LEG), plane)
    for turn in result.alignment.turns:
        if turn.path is not None and np.isfinite(turn.path.length_nm):
            yield _line("turn", turn.path, np.linspace(turn.path.length_nm, 0.0, _POINTS_A_LEG), plane)


def _corridors(result: DebriefResult, plane: LocalPlane) -> Iterator[PlanLine]:
    for leg in result.alignment.legs:
        corridor = _corridor(result, leg, plane)
        if corridor is not None:
            yield corridor


def _corridor(result: DebriefResult, leg: FlownLeg, plane: LocalPlane) -> PlanLine | None:
    """Full scale to both sides of a leg's path, over the part of it that was flown."""
    flown = slice(leg.start, leg.stop)
    to_go = result.deviations.along_track_to_go_nm[flown]
    full_scale = result.deviations.lateral_full_scale_nm[flown]
    known = np.isfinite(to_go) & np.isfinite(full_scale)
    if leg.path is None or known.sum() < 2:
        return None
    order = np.argsort(to_go[known], kind="stable")
    along = np.linspace(float(to_go[known].max()), float(to_go[known].min()), _POINTS_A_LEG)
    half_width = np.interp(along, to_go[known][order], full_scale[known][order])
    east, north = plane.place(*leg.path.point_at(along))
    forward_east, forward_north = np.gradient(east), np.gradient(north)
    step = np.hypot(forward_east, forward_north)
    if not np.all(step > 0):
        return None
    right_east, right_north = forward_north / step * half_width, -forward_east / step * half_width
    return PlanLine(
        kind="corridor",
        east_nm=readonly_floats(np.round(np.concatenate([east + right_east, (east - right_east)[::-1]]), 4)),
        north_nm=readonly_floats(np.round(np.concatenate([north + right_north, (north - right_north)[::-1]]), 4)),
    )


def _fix_points(result: DebriefResult, plane: LocalPlane) -> Iterator[PlanPoint]:
    """Every fix of a leg once, its label on the side away from the legs that meet there."""
    fixes: dict[str, Fix] = {}
    neighbours: dict[str, list[Fix]] = {}
    for _kind, leg in _planned_legs(result):
        if leg.part is LegPart.MISSED and leg.end_ident in fixes:
            continue
        for fix, other in ((leg.from_fix, leg.to_fix), (leg.to_fix, leg.from_fix)):
            if fix is not None:
                fixes.setdefault(fix.ident, fix)
                neighbours.setdefault(fix.ident, []).extend([] if other is None else [other])
    for ident, fix in fixes.items():
        if fix.kind == "runway":
            continue
        east, north = _spot(plane, fix.lat_deg, fix.lon_deg)
        away = np.zeros(2)
        for other in neighbours[ident]:
            there = np.array(_spot(plane, other.lat_deg, other.lon_deg)) - (east, north)
            away -= there / max(float(np.hypot(*there)), 1e-9)
        yield PlanPoint(
            kind="fix", label=words.clean(ident, longest=24), east_nm=east, north_nm=north, place=_label_place(away)
        )


def _label_place(away: FloatArray) -> str:
    east, north = float(away[0]), float(away[1])
    if abs(east) < 0.2 and abs(north) < 0.2:
        return "top right"
    upright = "top" if north >= 0 else "bottom"
    if abs(north) > 3 * abs(east):
        return f"{upright} center"
    return f"{upright} {'right' if east >= 0 else 'left'}"


def _runway_points(result: DebriefResult, plane: LocalPlane) -> Iterator[PlanPoint]:
    seen: set[tuple[float, float]] = set()
    for approach in result.plan.approaches:
        runway = approach.runway
        if runway is None or (runway.lat_deg, runway.lon_deg) in seen:
            continue
        seen.add((runway.lat_deg, runway.lon_deg))
        east, north = _spot(plane, runway.lat_deg, runway.lon_deg)
        label = f"{words.clean(approach.airport, longest=24)} {words.clean(runway.ident, longest=12)}"
        yield PlanPoint(kind="runway", label=label, east_nm=east, north_nm=north, place="bottom center")


def _said_points(result: DebriefResult, plane: LocalPlane) -> Iterator[PlanPoint]:
    """A numbered mark where each instruction took effect within the log; those of one moment share a mark."""
    samples = result.track.samples
    numbers: dict[int, list[str]] = {}
    for number, clearance in enumerate(result.assessment.clearances, start=1):
        if not samples.time_s[0] - 1.0 <= clearance.effect.timestamp() <= samples.time_s[-1] + 1.0:
            continue  # outside the log there is no place for it
        at = int(np.searchsorted(samples.time_s, clearance.effect.timestamp()))
        near = next((index for index in numbers if abs(index - at) <= 2), min(at, len(samples) - 1))
        numbers.setdefault(near, []).append(str(number))
    for at, labels in numbers.items():
        east, north = _spot(plane, float(samples.lat_deg[at]), float(samples.lon_deg[at]))
        label = ", ".join(labels) if len(numbers) <= MOST_NUMBERS else ""
        yield PlanPoint(kind="said", label=label, east_nm=east, north_nm=north, place="middle right")


def _spot(plane: LocalPlane, lat_deg: float, lon_deg: float) -> tuple[float, float]:
    east, north = plane.place(np.array([lat_deg]), np.array([lon_deg]))
    return round(float(east[0]), 4), round(float(north[0]), 4)


def _box(
    series: Series, lines: tuple[PlanLine, ...], points: tuple[PlanPoint, ...]
) -> tuple[float, float, float, float]:
    """What has to be seen: the flight, and the plan as far as it lies within the flight's own reach of it."""
    east, north = series.east_nm, series.north_nm
    west, right = float(np.nanmin(east)), float(np.nanmax(east))
    south, top = float(np.nanmin(north)), float(np.nanmax(north))
    reach = max(right - west, top - south, 1.0)
    xs = np.concatenate([*(line.east_nm for line in lines), np.array([point.east_nm for point in points])])
    ys = np.concatenate([*(line.north_nm for line in lines), np.array([point.north_nm for point in points])])
    near = (xs > west - reach) & (xs < right + reach) & (ys > south - reach) & (ys < top + reach)
    xs, ys = np.concatenate([xs[near], [west, right]]), np.concatenate([ys[near], [south, top]])
    pad = _MARGIN * max(float(np.ptp(xs)), float(np.ptp(ys)), 1.0)
    return float(xs.min()) - pad, float(xs.max()) + pad, float(ys.min()) - pad, float(ys.max()) + pad
