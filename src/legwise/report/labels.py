"""Labels of the plan view, each put where it hides least."""

from __future__ import annotations

import dataclasses

import numpy as np

from legwise.model.arrays import FloatArray
from legwise.report.content import PlanPoint, Series

_DRAWN_PX = 360.0
"""The labels are set for a phone's width; on a wider picture they only stand freer."""
SAID_REACH_PX = 22.0
"""A number of what was said stands this far from its place, at the end of a line."""
_LETTER_PX = 8.0
_LINE_PX = 16.0
_CLEAR_PX = 7.0
_PLACES = {
    "top right": (1, 1),
    "top left": (-1, 1),
    "bottom right": (1, -1),
    "bottom left": (-1, -1),
    "middle right": (1, 0),
    "middle left": (-1, 0),
    "top center": (0, 1),
    "bottom center": (0, -1),
}
Frame = tuple[float, float, float, float]


def placed(points: tuple[PlanPoint, ...], series: Series, box: Frame) -> tuple[PlanPoint, ...]:
    """The points, each label placed in turn: clear of labels, points, the frame and the track, else as wished."""
    scale = max(box[1] - box[0], box[3] - box[2]) / _DRAWN_PX
    track = np.stack([series.east_nm, series.north_nm])[:, :: max(series.east_nm.size // 2000, 1)]
    spots = np.array([[point.east_nm for point in points], [point.north_nm for point in points]])
    taken: list[Frame] = []
    made = []
    for point in points:
        frames = {place: _frame(point, place, scale) for place in _PLACES}
        best = min(frames, key=lambda place: _cost(place, point, frames[place], taken, spots, track, box))
        taken.append(frames[best])
        made.append(dataclasses.replace(point, place=best))
    return tuple(made)


def said_offset(place: str) -> tuple[float, float]:
    """Right and down from a place to the middle of its number. [px]"""
    across, up = _PLACES[place]
    reach = SAID_REACH_PX / max(float(np.hypot(across, up)), 1.0)
    return round(across * reach, 1), round(-up * reach, 1)


def _frame(point: PlanPoint, place: str, scale: float) -> Frame:
    """The rectangle a label covers: west, east, south, north."""
    if point.kind == "said":
        right, down = said_offset(place)
        east, north = point.east_nm + right * scale, point.north_nm - down * scale
        wide, high = (len(point.label) * _LETTER_PX + 8) / 2 * scale, (_LINE_PX + 4) / 2 * scale
        return east - wide, east + wide, north - high, north + high
    across, up = _PLACES[place]
    width, height, clear = len(point.label) * _LETTER_PX * scale, _LINE_PX * scale, _CLEAR_PX * scale
    middle = point.east_nm + across * (width / 2 + (clear if up == 0 else clear / 2))
    height_at = point.north_nm + up * (height / 2 + clear / 2)
    return middle - width / 2, middle + width / 2, height_at - height / 2, height_at + height / 2


def _cost(
    place: str, point: PlanPoint, frame: Frame, taken: list[Frame], spots: FloatArray, track: FloatArray, box: Frame
) -> float:
    west, east, south, north = frame
    overlaps = sum(west < other[1] and east > other[0] and south < other[3] and north > other[2] for other in taken)
    cut = west < box[0] or east > box[1] or south < box[2] or north > box[3]
    hidden = _within(spots, frame)
    crossed = _within(track, frame)
    return 100.0 * overlaps + 100.0 * cut + 40.0 * hidden + min(crossed, 40) + (0.0 if place == point.place else 5.0)


def _within(spots: FloatArray, frame: Frame) -> int:
    west, east, south, north = frame
    return int(((spots[0] > west) & (spots[0] < east) & (spots[1] > south) & (spots[1] < north)).sum())
