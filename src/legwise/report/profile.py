"""Each approach from the side: altitude against distance to go to the threshold."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from legwise.look import words
from legwise.model.alignment import FlownApproach
from legwise.model.arrays import FloatArray, IntArray, readonly_floats
from legwise.model.plan import LegPart, PlannedApproach
from legwise.model.results import DebriefResult
from legwise.report.content import ProfilePicture, PublishedAltitude

_PAST_THRESHOLD_NM = 1.5
_AT_THRESHOLD_NM = 0.05
"""A fix this near the threshold is the runway, which is drawn as such."""


def profiles_of(result: DebriefResult, index: IntArray) -> tuple[ProfilePicture, ...]:
    """A picture for every flown approach that has an altitude and a place on its path."""
    pictures = []
    for number, flown in enumerate(result.alignment.approaches, start=1):
        picture = _profile(result, flown, f"approach-{number}", index)
        if picture is not None:
            pictures.append(picture)
    return tuple(pictures)


def approach_to_go_nm(result: DebriefResult, flown: FlownApproach) -> FloatArray:
    """Distance to go along the approach's legs to the threshold for every sample of ``flown``, NaN elsewhere. Shape
    (n,). [NM]

    On a leg of the approach: to the end of the leg, and the legs after it. From the missed approach point on: along
    the final course.
    """
    planned = result.plan.approaches[flown.approach]
    remaining = _remaining_after(planned)
    leg = result.alignment.leg
    samples = result.track.samples
    to_go = np.full(len(samples), np.nan)
    here = np.zeros(len(samples), dtype=np.bool_)
    here[flown.start : flown.stop] = True
    for number, flown_leg in enumerate(result.alignment.legs):
        planned_leg = flown_leg.planned
        if planned_leg is not None and planned_leg.part is LegPart.APPROACH and planned_leg.id in remaining:
            on_leg = here & (leg == number)
            to_go[on_leg] = result.deviations.along_track_to_go_nm[on_leg] + remaining[planned_leg.id]
    if planned.final_path is not None:
        rest = here & np.isnan(to_go)
        rest[: flown.lowest if flown.lowest is not None else flown.stop] = False
        to_go[rest] = planned.final_path.measure(samples.lat_deg[rest], samples.lon_deg[rest]).to_go_nm
    to_go[to_go < -_PAST_THRESHOLD_NM] = np.nan
    return to_go


def _remaining_after(planned: PlannedApproach) -> dict[str, float]:
    """For every leg of the approach the length of the legs after it, and from its last fix to the threshold. [NM]"""
    rest = 0.0
    end = planned.legs[-1].to_fix if planned.legs else None
    if planned.final_path is not None and end is not None:
        rest = float(planned.final_path.measure(np.array([end.lat_deg]), np.array([end.lon_deg])).to_go_nm[0])
    remaining = {}
    for leg in reversed(planned.legs):
        remaining[leg.id] = rest
        rest += leg.distance_nm or 0.0
    return remaining


def _profile(result: DebriefResult, flown: FlownApproach, key: str, index: IntArray) -> ProfilePicture | None:
    planned = result.plan.approaches[flown.approach]
    every = approach_to_go_nm(result, flown)
    altitude = result.deviations.judged.altitude_ft
    seen = np.isfinite(every) & np.isfinite(altitude)
    if seen.sum() < 2:
        return None
    published = tuple(_published(planned))
    path_to_go, path_ft, band_ft = _glidepath(result, every)
    minima = planned.flown_da_ft or planned.flown_mda_ft or planned.minima_ft
    farthest = min(max(float(np.max(every[seen])), *(item.to_go_nm for item in published), 1.0), 40.0)
    heights = [float(np.min(altitude[seen])), float(np.max(altitude[seen]))]
    heights += [height for item in published for height in (item.low_ft, item.high_ft) if height is not None]
    if planned.runway is not None:
        heights.append(planned.runway.elevation_ft)
    room = 0.08 * (max(heights) - min(heights) + 100)
    nearest = min(-0.4, float(np.min(every[seen])))
    return ProfilePicture(
        key=key,
        to_go_nm=readonly_floats(np.where(index < 0, np.nan, np.round(every, 3)[index])),
        path_to_go_nm=path_to_go,
        path_ft=path_ft,
        path_half_band_ft=band_ft,
        published=published,
        minima_ft=minima,
        minima_label=_minima_label(planned, minima),
        threshold_ft=None if planned.runway is None else planned.runway.elevation_ft,
        box=(farthest + 0.3, nearest - 0.1, min(heights) - room, max(heights) + 2.5 * room),
    )


def _minima_label(planned: PlannedApproach, minima: float | None) -> str:
    if minima is None:
        return ""
    kind = "DA" if planned.da_ft is not None else "MDA"
    corrected = " as corrected" if planned.minima_ft is not None and minima != planned.minima_ft else ""
    return f"{kind} {words.number(minima)} ft{corrected}"


def _glidepath(result: DebriefResult, to_go_nm: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    path_ft = result.deviations.vertical_path_ft
    known = np.flatnonzero(np.isfinite(to_go_nm) & np.isfinite(path_ft))
    known = known[np.argsort(-to_go_nm[known], kind="stable")]
    if known.size > 60:
        known = known[np.linspace(0, known.size - 1, 60).astype(np.int64)]
    band = np.nan_to_num(result.deviations.vertical_full_scale_ft[known], nan=0.0)
    return (
        readonly_floats(np.round(to_go_nm[known], 3)),
        readonly_floats(np.round(path_ft[known], 0)),
        readonly_floats(np.round(band, 0)),
    )


def _published(planned: PlannedApproach) -> Iterator[PublishedAltitude]:
    remaining = _remaining_after(planned)
    for leg in planned.legs:
        window = leg.altitude
        is_runway = leg.to_fix is not None and leg.to_fix.kind == "runway"
        at_threshold = is_runway or abs(remaining[leg.id]) < _AT_THRESHOLD_NM
        if window is None or (window.low_ft is None and window.high_ft is None) or at_threshold:
            continue
        yield PublishedAltitude(
            label=f"{words.clean(leg.end_ident, longest=24)} {_window_words(window.low_ft, window.high_ft)}",
            to_go_nm=round(remaining[leg.id], 3),
            low_ft=window.low_ft,
            high_ft=window.high_ft,
        )


def _window_words(low_ft: float | None, high_ft: float | None) -> str:
    if low_ft is None:
        return f"max {words.number(high_ft or 0.0)}"
    if high_ft is None:
        return f"min {words.number(low_ft)}"
    if low_ft == high_ft:
        return f"at {words.number(low_ft)}"
    return f"{words.number(low_ft)} to {words.number(high_ft)}"
