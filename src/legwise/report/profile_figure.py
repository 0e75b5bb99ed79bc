"""An approach from the side as a figure: distance to go falls toward the right, as it is flown."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from legwise.look import light
from legwise.look.words import figure_text
from legwise.report.content import DebriefView, ProfilePicture
from legwise.report.drawing import Trace, areas, figure, line, marks, only, value_axis

if TYPE_CHECKING:
    import plotly.graph_objects as go


def profile_figure(view: DebriefView, profile: ProfilePicture) -> go.Figure:
    """Glidepath with full scale, published altitudes, minimum, runway, and what was flown."""
    series = view.series
    outside = np.where(series.outside == 1, series.altitude_ft, np.nan)
    outside = np.where(np.isfinite(profile.to_go_nm), outside, np.nan)
    to_go, path, half = profile.path_to_go_nm, profile.path_ft, profile.path_half_band_ft
    band = [([*to_go, *to_go[::-1]], [*(path - half), *(path + half)[::-1]])] if to_go.size else []
    x = profile.to_go_nm
    traces = only(
        [
            areas(band, "band"),
            line(to_go, path, "owed", 1.5, dash="dot"),
            *_minimum(profile),
            *_runway(profile),
            line(x, series.altitude_ft, "flown", 2.5),
            *marks(x, outside, "outside"),
            *_published(profile),
        ]
    )
    far, near, low, high = profile.box
    made = figure(
        traces,
        xaxis={
            "range": [far, near], "gridcolor": light("grid"), "linecolor": light("rule"), "showline": True,
            "zeroline": False,
            "nticks": 8, "tickangle": 0,
            "title": {"text": "NM to go to the threshold", "standoff": 6, "font": {"size": 13}},
        },
        yaxis=value_axis(range=[low, high], ticksuffix=" ft"),
    )  # fmt: skip
    made.update_layout(margin={"b": 44})
    return made


def _text(x: float, y: float, text: str, place: str, role: str) -> Trace:
    return {
        "type": "scatter", "mode": "text", "x": [x], "y": [y], "text": [figure_text(text)], "textposition": place,
        "textfont": {"size": 13, "color": light(role)}, "cliponaxis": True,
    }  # fmt: skip


def _published(profile: ProfilePicture) -> list[Trace]:
    """Every bound as a bar at its fix, pointing to the side that is free; the fix and its words at the top."""
    traces: list[Trace] = []
    far, top = profile.box[0], profile.box[3]
    for number, item in enumerate(profile.published):
        label_at = top - 0.09 * (number % 2) * (top - profile.box[2])
        for bound, symbol in ((item.low_ft, "triangle-up"), (item.high_ft, "triangle-down")):
            if bound is None:
                continue
            both = item.low_ft == item.high_ft
            traces.append(
                {
                    "type": "scatter", "mode": "lines+markers", "x": [item.to_go_nm + 0.02 * far, item.to_go_nm,
                    item.to_go_nm - 0.02 * far],
                    "y": [bound] * 3, "line": {"color": light("owed"), "width": 3},
                    "marker": {"symbol": "square" if both else symbol, "size": [0, 10, 0], "color": light("owed")},
                }
            )  # fmt: skip
        traces.append(line(np.array([item.to_go_nm] * 2), np.array([profile.box[2], top]), "rule", 1.0))
        near_edge = "right" if item.to_go_nm > 0.8 * far else "left" if item.to_go_nm < 0.15 * far else "center"
        traces.append(_text(item.to_go_nm, label_at, item.label, f"bottom {near_edge}", "ink"))
    return traces


def _minimum(profile: ProfilePicture) -> list[Trace]:
    if profile.minima_ft is None:
        return []
    far, near, _low, _high = profile.box
    start = min(far, 0.45 * far + 1.0)
    return [
        line(np.array([start, near]), np.array([profile.minima_ft] * 2), "ink", 1.5, dash="dash"),
        _text(start + 0.01 * (far - near), profile.minima_ft, profile.minima_label, "middle left", "ink"),
    ]


def _runway(profile: ProfilePicture) -> list[Trace]:
    if profile.threshold_ft is None:
        return []
    return [line(np.array([0.0, profile.box[1]]), np.array([profile.threshold_ft] * 2), "ink", 6.0)]
