"""From a view to figures: lines and bars only, without a template, in the light palette (the page turns them dark,
colour for colour).

Text from files goes in through :func:`legwise.look.words.figure_text`, since a subset of HTML would be drawn.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from legwise.look import light
from legwise.look.words import figure_text
from legwise.model.arrays import FloatArray
from legwise.report.content import DebriefView, LimitBand
from legwise.report.drawing import Trace, areas, figure, line, marks, only, runs_as_areas, time_axis, value_axis
from legwise.report.ground_figure import plan_figure
from legwise.report.profile_figure import profile_figure

if TYPE_CHECKING:
    import plotly.graph_objects as go

_LEAST_FT = 200.0
_LEAST_KT = 20.0
NEEDLE_REACH = 1.6
"""The needles' scales are drawn this far, in full scales."""


def figures_of(view: DebriefView) -> dict[str, go.Figure]:
    """Every picture of the page by name, in the order shown: those that ``view.captions`` name."""
    makers = {
        "timeline": timeline_figure,
        "plan": plan_figure,
        "lateral": lateral_figure,
        "vertical": vertical_figure,
        "altitude": altitude_figure,
        "speed": speed_figure,
    }
    figures = {name: make(view) for name, make in makers.items() if name in view.captions}
    return figures | {profile.key: profile_figure(view, profile) for profile in view.profiles}


def timeline_figure(view: DebriefView) -> go.Figure:
    """What was navigated by: labelled, hatched stretches. A trace for each look, since a hatching keeps one ground
    colour a trace.
    """
    looks = dict.fromkeys((item.role, item.hatching) for item in view.stretches)
    return figure(
        [_stretch_bars(view, role, hatching) for role, hatching in looks],
        barmode="overlay",
        xaxis=time_axis(view),
        yaxis={"visible": False, "fixedrange": True, "range": [-0.5, 0.5]},
        uniformtext={"mode": "hide", "minsize": 12},
    )


def _stretch_bars(view: DebriefView, role: str, hatching: str) -> Trace:
    stretches = [item for item in view.stretches if (item.role, item.hatching) == (role, hatching)]
    return {
        "type": "bar",
        "orientation": "h",
        "base": [item.span.from_ms for item in stretches],
        "x": [max(item.span.to_ms - item.span.from_ms, 1) for item in stretches],
        "y": [0] * len(stretches),
        "width": 0.98,
        "text": [figure_text(item.short) for item in stretches],
        "textposition": "inside",
        "insidetextanchor": "middle",
        "textangle": 0,
        "textfont": {"color": light("ink"), "size": 13},
        "marker": {
            "color": light(role),
            "line": {"color": light("card"), "width": 1.5},
            "pattern": {"shape": hatching, "fillmode": "overlay", "fgcolor": light("planned"), "fgopacity": 0.5,
            "size": 8, "solidity": 0.12},
        },
    }  # fmt: skip


def _band_areas(bands: tuple[LimitBand, ...]) -> Trace:
    corners = [
        (
            [band.span.from_ms, band.span.to_ms, band.span.to_ms, band.span.from_ms],
            [band.low, band.low, band.high, band.high],
        )
        for band in bands
    ]
    return areas(corners, "band")


def _beyond(view: DebriefView, values: FloatArray, bands: tuple[LimitBand, ...]) -> FloatArray:
    """The values beyond the band of their time, NaN elsewhere."""
    beyond = np.zeros(values.shape, dtype=np.bool_)
    times = view.series.time_ms
    for band in bands:
        here = (times >= band.span.from_ms) & (times <= band.span.to_ms)
        beyond |= here & ((values > band.high) | (values < band.low))
    return np.where(beyond, values, np.nan)


def _needle_figure(view: DebriefView, values: FloatArray, bands: tuple[LimitBand, ...], ticks: list[str]) -> go.Figure:
    times = view.series.time_ms
    drawn = np.clip(values, -NEEDLE_REACH, NEEDLE_REACH)
    traces = [
        _band_areas(bands),
        line(times, drawn, "flown", 2.0),
        *marks(times, _beyond(view, drawn, bands), "outside"),
    ]
    shapes = [
        {
            "type": "line", "xref": "paper", "x0": 0, "x1": 1, "y0": at, "y1": at, "layer": "below",
            "line": {"color": light("planned"), "width": width, "dash": dash},
        }
        for at, width, dash in ((-1.0, 1.5, "solid"), (0.0, 1.0, "dot"), (1.0, 1.5, "solid"))
    ]  # fmt: skip
    axis = value_axis(
        range=[-NEEDLE_REACH, NEEDLE_REACH], tickvals=[1.0, 0.5, 0.0, -0.5, -1.0], ticktext=ticks, tickformat=""
    )
    return figure(only(traces), xaxis=time_axis(view), yaxis=axis, shapes=shapes)


def lateral_figure(view: DebriefView) -> go.Figure:
    """The lateral needle's scale along time: the aircraft's place, right of course upward."""
    ticks = ["full right", "half right", "on course", "half left", "full left"]
    return _needle_figure(view, view.series.lateral_needle, view.lateral_limits, ticks)


def vertical_figure(view: DebriefView) -> go.Figure:
    """The vertical needle's scale along time: the aircraft's place, high upward."""
    ticks = ["full high", "half high", "on path", "half low", "full low"]
    return _needle_figure(view, view.series.vertical_needle, view.vertical_limits, ticks)


def altitude_figure(view: DebriefView) -> go.Figure:
    """Altitude along time, the altitude assigned with its band, and the glidepath."""
    series = view.series
    times = series.time_ms
    half = view.altitude_half_band_ft
    beyond = np.where(np.abs(series.altitude_ft - series.owed_ft) > half, series.altitude_ft, np.nan)
    traces = [
        *([runs_as_areas(times, series.owed_ft, half, "band")] if half > 0 else []),
        line(times, series.assigned_ft, "owed", 2.0, dash="dash"),
        line(times, series.path_ft, "owed", 1.5, dash="dot"),
        line(times, series.altitude_ft, "flown", 2.0),
        *(marks(times, beyond, "outside") if half > 0 else []),
    ]
    axis = value_axis(ticksuffix=" ft", rangemode="normal", **_wide_enough(series.altitude_ft, _LEAST_FT))
    return figure(only(traces), xaxis=time_axis(view), yaxis=axis)


def speed_figure(view: DebriefView) -> go.Figure:
    """Groundspeed along time, and indicated airspeed where it was recorded."""
    series = view.series
    traces = [
        line(series.time_ms, series.ias_kt, "planned", 1.5, dash="dot"),
        line(series.time_ms, series.groundspeed_kt, "flown", 2.0),
    ]
    still = np.nanmax(series.groundspeed_kt) < _LEAST_KT
    scale: Trace = {"range": [0.0, _LEAST_KT]} if still else {"rangemode": "tozero"}
    return figure(only(traces), xaxis=time_axis(view), yaxis=value_axis(ticksuffix=" kt", **scale))


def _wide_enough(values: FloatArray, least: float) -> Trace:
    """A range of ``least`` about values that hardly differ, so that noise is not drawn as movement."""
    low, high = float(np.nanmin(values)), float(np.nanmax(values))
    if high - low >= least:
        return {}
    return {"range": [(low + high - least) / 2, (low + high + least) / 2]}
