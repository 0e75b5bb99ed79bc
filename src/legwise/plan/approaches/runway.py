"""The runway, final course, glidepath and width of a coded approach, each from the record that knows it best."""

from __future__ import annotations

import math
from dataclasses import dataclass

from legwise.geodesy.angles import turn_deg
from legwise.geodesy.geodesics import inverse
from legwise.model.lesson import ApproachGuidance, Runway
from legwise.model.navdata import CodedLocalizer, CodedPathPoint, CodedProcedure, CodedRunway, NavData
from legwise.units import FT_PER_NM, M_PER_FT

# A localizer's antenna whose direction from the threshold is that of its course stands on the extended centre line.
# Courses are coded to 0.1 degree and the variation to a degree, so the positions tell the course better.
_ALIGNED_WITHIN_DEG = 1.0
_GLIDEPATHS_DEG = (1.0, 10.0)
_HALF_WIDTHS_FT = (100.0, 500.0)
# No height is coded as 0 where there is no vertical guidance.
_CROSSING_HEIGHTS_FT = (1.0, 200.0)
_LOCALIZER_KINDS = ("ILS", "LOC", "LDA", "SDF")


@dataclass(frozen=True, slots=True, kw_only=True)
class FinalFacts:
    """What the records say of the final approach; None where none says it.

    ``runway`` may be without a course: the last leg then gives it. ``alignment_nm`` is from the threshold to the flight
    path alignment point.
    """

    runway: Runway | None = None
    glidepath_deg: float | None = None
    threshold_crossing_height_ft: float | None = None
    half_width_ft: float | None = None
    alignment_nm: float | None = None


def final_facts(
    navdata: NavData,
    procedure: CodedProcedure,
    guidance: ApproachGuidance | None,
    localizer: CodedLocalizer | None,
    vertical_angle_deg: float | None,
) -> FinalFacts:
    """What the records of runway, localizer and final approach segment say.

    ``vertical_angle_deg`` is coded with the leg to the missed approach point, down negative: the glidepath where no
    record holds one.
    """
    runway = navdata.runway(procedure.airport, procedure.runway) if procedure.runway else None
    point = navdata.path_point(procedure.airport, procedure.ident)
    if guidance in _LOCALIZER_KINDS:
        point = None
    else:
        localizer = None
    coded = abs(vertical_angle_deg) if vertical_angle_deg else None
    if point is not None:
        return _by_path_point(navdata, point, runway, coded)
    slope = localizer.glide_slope_deg if localizer is not None and guidance == "ILS" else None
    heights = [runway.threshold_crossing_height_ft] if runway is not None else []
    if localizer is not None:
        heights.insert(0, localizer.threshold_crossing_height_ft)
    return FinalFacts(
        runway=_runway(navdata, runway, _course_of(runway, localizer)),
        glidepath_deg=_within(slope or coded, _GLIDEPATHS_DEG),
        threshold_crossing_height_ft=_first_within(heights, _CROSSING_HEIGHTS_FT),
        half_width_ft=_localizer_half_width_ft(runway, localizer),
    )


def straight_in_apart_deg(navdata: NavData, procedure: CodedProcedure, course_deg_true: float) -> float | None:
    """How far a final course lies off the course of the procedure's runway. [deg] None where that is not coded."""
    runway = navdata.runway(procedure.airport, procedure.runway) if procedure.runway else None
    airport = navdata.airport(procedure.airport)
    if runway is None or runway.course_deg is None:
        return None
    variation = 0.0 if runway.is_true else airport.fix.variation_deg if airport is not None else None
    if variation is None:
        return None
    return abs(float(turn_deg(runway.course_deg + variation, course_deg_true)))


def _by_path_point(
    navdata: NavData, point: CodedPathPoint, runway: CodedRunway | None, coded_deg: float | None
) -> FinalFacts:
    """The final approach segment data: threshold, course to the alignment point, glidepath and width are its own."""
    length, course, _arrival = inverse(
        point.threshold_lat_deg, point.threshold_lon_deg, point.alignment_lat_deg, point.alignment_lon_deg
    )
    made = _runway(navdata, runway, float(course))
    if made is not None:
        made = made.model_copy(update={"lat_deg": point.threshold_lat_deg, "lon_deg": point.threshold_lon_deg})
    half_m = point.course_half_width_at_threshold_m
    height = runway.threshold_crossing_height_ft if runway is not None else None
    return FinalFacts(
        runway=made,
        glidepath_deg=_within(point.glidepath_deg or coded_deg, _GLIDEPATHS_DEG),
        threshold_crossing_height_ft=_first_within([point.threshold_crossing_height_ft, height], _CROSSING_HEIGHTS_FT),
        half_width_ft=_within(half_m / M_PER_FT if half_m is not None else None, _HALF_WIDTHS_FT),
        alignment_nm=float(length) if float(length) > 0.0 else None,
    )


def _runway(navdata: NavData, runway: CodedRunway | None, course_deg_true: float | None) -> Runway | None:
    """The runway as a lesson writes it; the aerodrome's elevation where its threshold's is not coded."""
    if runway is None:
        return None
    elevation = runway.threshold_elevation_ft
    if elevation is None:
        airport = navdata.airport(runway.fix.key.airport)
        elevation = airport.fix.elevation_ft if airport is not None else None
    if elevation is None:
        return None
    # Not validated: a record's values have been read within ranges of their own.
    return Runway.model_construct(
        ident=runway.fix.ident,
        lat_deg=runway.fix.lat_deg,
        lon_deg=runway.fix.lon_deg,
        elevation_ft=elevation,
        course_deg_true=course_deg_true,
        course_deg_mag=None,
        length_ft=runway.length_ft,
    )


def _course_of(runway: CodedRunway | None, localizer: CodedLocalizer | None) -> float | None:
    """The course at the threshold where the localizer stands on the centre line; else the last leg tells. [deg true]"""
    if runway is None or localizer is None or localizer.course_deg is None:
        return None
    variation = 0.0 if localizer.is_true else localizer.fix.variation_deg
    distance, course, _arrival = _to_antenna(runway, localizer)
    if variation is None or distance <= 0.0:
        return None
    off = abs(float(turn_deg(course, localizer.course_deg + variation)))
    return course if off <= _ALIGNED_WITHIN_DEG else None


def _localizer_half_width_ft(runway: CodedRunway | None, localizer: CodedLocalizer | None) -> float | None:
    """Full scale at the threshold, one side: half the course's angle as seen from the antenna. [ft]"""
    if runway is None or localizer is None or not localizer.width_deg:
        return None
    distance_nm = _to_antenna(runway, localizer)[0]
    return _within(distance_nm * FT_PER_NM * math.tan(math.radians(localizer.width_deg / 2.0)), _HALF_WIDTHS_FT)


def _to_antenna(runway: CodedRunway, localizer: CodedLocalizer) -> tuple[float, float, float]:
    found = inverse(runway.fix.lat_deg, runway.fix.lon_deg, localizer.fix.lat_deg, localizer.fix.lon_deg)
    return float(found[0]), float(found[1]), float(found[2])


def _within(value: float | None, bounds: tuple[float, float]) -> float | None:
    return value if value is not None and bounds[0] <= value <= bounds[1] else None


def _first_within(values: list[float | None], bounds: tuple[float, float]) -> float | None:
    return next((value for value in values if _within(value, bounds) is not None), None)
