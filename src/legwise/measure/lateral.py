"""The lateral needle's full scale at each sample, as the receiver had it."""

from __future__ import annotations

import numpy as np

from legwise.measure import scales
from legwise.measure.positions import Positions
from legwise.measure.stretches import ApproachStretch, lies_along
from legwise.model.alignment import PHASE_CODE, Alignment, Phase
from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.lesson import Lesson
from legwise.model.plan import LegPart, Plan, PlannedApproach
from legwise.units import FT_PER_NM

_RNAV = ("LPV", "LP", "LNAV/VNAV", "LNAV")
_LOCALIZER = ("ILS", "LOC", "LDA", "SDF")
_BEAM_STATIONS = ("ILS", "LOC", "LDA", "SDF")


def lateral_full_scale_nm(
    plan: Plan,
    lesson: Lesson,
    alignment: Alignment,
    positions: Positions,
    stretches: list[ApproachStretch],
    altitude_ft: FloatArray,
) -> tuple[FloatArray, list[str]]:
    """Full scale at each sample, NaN where no needle was owed or could show, and what was assumed, in words.

    An area-navigation scale holds wherever no final course of a station is flown: a localizer or VOR is taken to be
    followed only on legs that lie on the final course, from wherever it was joined.
    """
    full = np.full(len(positions.cross_track_nm), scales.TERMINAL_NM)
    full[alignment.phase == PHASE_CODE[Phase.EN_ROUTE]] = scales.EN_ROUTE_NM[lesson.navigation.receiver]
    for stretch in stretches:
        full[stretch.index] = _approach_nm(stretch, lesson, positions, altitude_ft)
    full[_aligned_missed(plan, lesson, alignment)] = scales.FINAL_NM
    full[np.isnan(positions.cross_track_nm) | (alignment.phase == PHASE_CODE[Phase.GROUND])] = np.nan
    flown = {stretch.planned.index: stretch.planned for stretch in stretches}
    return full, [note for planned in flown.values() for note in _notes(planned)]


def _approach_nm(stretch: ApproachStretch, lesson: Lesson, positions: Positions, altitude_ft: FloatArray) -> FloatArray:
    planned = stretch.planned
    if planned.guidance in _RNAV:
        return _rnav_nm(stretch, lesson)
    if not stretch.on_final:
        return np.full(stretch.index.size, scales.TERMINAL_NM)
    if planned.guidance in _LOCALIZER or planned.guidance == "GLS":
        return _beam_nm(stretch)
    if planned.guidance == "VOR":
        return _vor_nm(stretch, positions, altitude_ft)
    # An NDB has no needle to deflect, and of unknown guidance nothing is known.
    return np.full(stretch.index.size, np.nan)


def _rnav_nm(stretch: ApproachStretch, lesson: Lesson) -> FloatArray:
    planned = stretch.planned
    before, to_faf = stretch.before_threshold_nm, stretch.to_faf_nm
    angular = planned.guidance in ("LPV", "LP")
    if planned.selected_final_only and lesson.navigation.receiver == "sbas" and stretch.on_final:
        splay = np.minimum(_splay_nm(planned, before), scales.TERMINAL_NM)
        return splay if angular else np.maximum(splay, scales.FINAL_NM)
    if not angular:
        return scales.ramp_nm(to_faf, scales.FINAL_NM)
    final = np.minimum(_splay_nm(planned, before), scales.FINAL_NM)
    at_faf = scales.FINAL_NM
    if planned.faf_to_go_nm is not None:
        at_faf = float(np.minimum(_splay_nm(planned, np.array([planned.faf_to_go_nm])), scales.FINAL_NM)[0])
    return np.where(to_faf > 0.0, scales.ramp_nm(to_faf, at_faf), final)


def _splay_nm(planned: PlannedApproach, before_nm: FloatArray) -> FloatArray:
    if planned.runway is None:
        return np.full_like(before_nm, np.nan)
    half_nm = planned.half_width_at_threshold_ft / FT_PER_NM
    along_nm = planned.alignment_nm if planned.alignment_nm is not None else planned.runway.length_ft / FT_PER_NM
    return scales.gnss_splay_nm(before_nm, half_nm, along_nm)


def _beam_nm(stretch: ApproachStretch) -> FloatArray:
    planned = stretch.planned
    if planned.runway is None:
        return np.full(stretch.index.size, np.nan)
    half_nm = planned.half_width_at_threshold_ft / FT_PER_NM
    return scales.localizer_nm(stretch.before_threshold_nm, half_nm, _antenna_nm(planned, planned.runway.length_ft))


def _antenna_nm(planned: PlannedApproach, length_ft: float) -> float:
    """How far past the threshold the course has its origin: a station beyond the runway, else the usual place."""
    usual = length_ft / FT_PER_NM + scales.LOCALIZER_BEYOND_RUNWAY_NM
    station = planned.navaid
    if station is None or planned.final_path is None or planned.guidance not in _BEAM_STATIONS:
        return usual
    at = planned.final_path.measure(np.array([station.lat_deg]), np.array([station.lon_deg]))
    past_nm = -float(at.to_go_nm[0])
    beyond = length_ft / FT_PER_NM <= past_nm <= usual + 1.0 and abs(float(at.cross_track_nm[0])) < 0.1
    return past_nm if beyond else usual


def _vor_nm(stretch: ApproachStretch, positions: Positions, altitude_ft: FloatArray) -> FloatArray:
    planned, index = stretch.planned, stretch.index
    station = planned.navaid
    if station is None or planned.final_path is None:
        return np.full(index.size, np.nan)
    at = planned.final_path.measure(np.array([station.lat_deg]), np.array([station.lon_deg]))
    ground_ft = station.elevation_ft
    if ground_ft is None:
        ground_ft = planned.runway.elevation_ft if planned.runway is not None else 0.0
    # Without an altitude the cone is unknown and nothing is hidden.
    height_nm = np.nan_to_num(altitude_ft[index] - ground_ft) / FT_PER_NM
    from_station = stretch.before_threshold_nm - float(at.to_go_nm[0])
    return scales.vor_nm(positions.cross_track_nm[index], from_station, height_nm)


def _aligned_missed(plan: Plan, lesson: Lesson, alignment: Alignment) -> BoolArray:
    """Samples on a missed approach's first leg that goes straight on: SBAS keeps 0.3 NM to its first turn."""
    keep = np.zeros(len(alignment.leg), dtype=np.bool_)
    if lesson.navigation.receiver != "sbas":
        return keep
    firsts = {
        planned.missed[0].id
        for planned in plan.approaches
        if planned.missed and planned.missed[0].kind == "TF" and _straight_on(planned)
    }
    for number, leg in enumerate(alignment.legs):
        if leg.planned is not None and leg.planned.part is LegPart.MISSED and leg.planned.id in firsts:
            keep |= (alignment.leg == number) & ~alignment.in_turn
    return keep


def _straight_on(planned: PlannedApproach) -> bool:
    first = planned.missed[0]
    return first.path is not None and planned.final_path is not None and lies_along(first.path, planned.final_path)


def _notes(planned: PlannedApproach) -> list[str]:
    name = planned.title or planned.procedure
    if planned.guidance is None:
        return [f"{name}: the guidance is not given, so on its final course no needle is known."]
    if planned.guidance == "NDB":
        return [f"{name}: an NDB has no needle that deflects by a scale; the final course is judged by distance."]
    if planned.guidance == "VOR" and planned.navaid is None:
        return [f"{name}: the station is not given, so no VOR needle is known."]
    if planned.runway is None and planned.guidance not in ("LNAV", "LNAV/VNAV", "VOR"):
        return [f"{name}: without a runway the width of the course is not known, so no needle is."]
    if planned.guidance in _LOCALIZER:
        return [
            f"{name}: the localizer antenna is taken 1,000 ft beyond the stop end unless the station says otherwise."
        ]
    return []
