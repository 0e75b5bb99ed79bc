"""The few kinds of traces the pictures are made of, as plain mappings. Arrays go out rounded to single precision,
times as they are.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from legwise.look import FONT_STACK, light
from legwise.model.arrays import FloatArray
from legwise.report.content import DebriefView

if TYPE_CHECKING:
    import plotly.graph_objects as go

Trace = dict[str, Any]
_GAP = float("nan")
_MARKS_ACROSS = 90
"""Diamonds stand this many to a whole flight, so that a stretch shows its length and two stay apart."""


def line(x: FloatArray, y: FloatArray, role: str, width: float, *, dash: str = "solid") -> Trace:
    """A line; NaN breaks it."""
    return {
        "type": "scatter",
        "mode": "lines",
        "x": x,
        "y": y.astype(np.float32),
        "line": {"color": light(role), "width": width, "dash": dash},
    }


def marks(x: FloatArray, y: FloatArray, role: str) -> list[Trace]:
    """A thick line with spaced diamonds over what is outside: seen without colour, hidden while verdicts are."""
    known = np.isfinite(y)
    starts = np.flatnonzero(known & ~np.r_[False, known[:-1]])
    spaced = np.flatnonzero(known & (np.arange(y.size) % max(y.size // _MARKS_ACROSS, 1) == 0))
    at = np.union1d(starts, spaced)
    diamonds: Trace = {
        "type": "scatter",
        "mode": "markers",
        "x": x[at],
        "y": y[at].astype(np.float32),
        "marker": {
            "color": light(role), "symbol": "diamond", "size": 10, "opacity": 1,
            "line": {"color": light("card"), "width": 1.5},
        },
        "meta": {"verdict": True},
    }  # fmt: skip
    return [line(x, y, role, 4.5) | {"meta": {"verdict": True}}, diamonds]


def areas(corners: Iterable[tuple[Sequence[float], Sequence[float]]], role: str) -> Trace:
    """Filled polygons in one trace."""
    x: list[float] = []
    y: list[float] = []
    for across, up in corners:
        x += [*across, across[0], _GAP]
        y += [*up, up[0], _GAP]
    return {
        "type": "scatter",
        "mode": "lines",
        "x": np.array(x),
        "y": np.array(y, dtype=np.float64).astype(np.float32),
        "fill": "toself",
        "fillcolor": light(role),
        "line": {"width": 0, "color": light(role)},
    }


def runs_as_areas(x: FloatArray, y: FloatArray, half: float, role: str) -> Trace:
    """A band of ``half`` to both sides of every run of one value; NaN ends a run."""
    known = np.isfinite(y)
    changes = np.flatnonzero(np.r_[True, (y[1:] != y[:-1]) & ~(~known[1:] & ~known[:-1])])
    ends = np.r_[changes[1:], y.size] - 1
    corners = []
    for start, end in zip(changes, ends, strict=True):
        if known[start] and end > start:
            low, high = float(y[start] - half), float(y[start] + half)
            first, last = float(x[start]), float(x[end])
            corners.append(([first, last, last, first], [low, low, high, high]))
    return areas(corners, role)


def only(traces: Iterable[Trace]) -> list[Trace]:
    """The traces that have something to draw."""
    return [
        trace for trace in traces if np.size(trace["y"]) and np.isfinite(np.asarray(trace["y"], dtype=np.float64)).any()
    ]


def figure(traces: list[Trace], **layout: Any) -> go.Figure:
    """A figure in the page's own look."""
    import plotly.graph_objects as go  # heavy: imported where it is used

    made = go.Figure(data=traces)
    made.update_layout(
        template=None,
        font={"family": FONT_STACK, "size": 13, "color": light("ink")},
        paper_bgcolor=light("card"),
        plot_bgcolor=light("card"),
        showlegend=False,
        hovermode=False,
        dragmode="zoom",
        margin={"l": 74, "r": 14, "t": 8, "b": 28},
        **layout,
    )
    return made


def time_axis(view: DebriefView) -> dict[str, Any]:
    """The one time axis of every picture along time."""
    times = view.series.time_ms
    return {
        "type": "date",
        "range": [float(times[0]), float(times[-1])],
        "gridcolor": light("grid"),
        "linecolor": light("rule"),
        "showline": True,
        "zeroline": False,
        "nticks": 8,
        "tickangle": 0,
        "tickformatstops": [
            {"dtickrange": [None, 999], "value": "%H:%M:%S.%1f"},
            {"dtickrange": [1000, 59_999], "value": "%H:%M:%S"},
            {"dtickrange": [60_000, None], "value": "%H:%M"},
        ],
    }


def value_axis(**more: Any) -> dict[str, Any]:
    """The upright axis of a picture along time: fixed while time is zoomed."""
    return {
        "gridcolor": light("grid"), "zeroline": False, "fixedrange": True, "nticks": 5, "tickformat": ",d",
        "ticks": "outside",
        "ticklen": 5, "tickcolor": light("card"), **more,
    }  # fmt: skip
