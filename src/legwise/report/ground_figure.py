"""The plan view as a figure: to scale, north up, a grid of whole miles."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from legwise.look import light
from legwise.look.words import figure_text
from legwise.model.arrays import FloatArray
from legwise.report.content import DebriefView, PlanLine, PlanPoint
from legwise.report.drawing import Trace, areas, figure, line, marks, only
from legwise.report.labels import said_offset

if TYPE_CHECKING:
    import plotly.graph_objects as go

_LOOK = {
    "route": ("owed", 2.0, "dash"),
    "approach": ("owed", 2.5, "solid"),
    "missed": ("owed", 1.5, "dot"),
    "direct": ("owed", 2.0, "dashdot"),
    "turn": ("owed", 1.5, "solid"),
    "runway": ("ink", 6.0, "solid"),
}
_ARROWS = 9


def plan_figure(view: DebriefView) -> go.Figure:
    """Plan, corridor, track, what was said where. The last trace is empty: the page shows a chosen stretch in it."""
    series = view.series
    plan = view.plan
    corridors = [item for item in plan.lines if item.kind == "corridor"]
    outside = series.outside == 1
    traces = only(
        [
            areas([(list(item.east_nm), list(item.north_nm)) for item in corridors], "corridor"),
            *(_together(plan.lines, kind) for kind in _LOOK),
            line(series.east_nm.astype(np.float32), series.north_nm, "flown", 2.5),
            *marks(
                np.where(outside, series.east_nm, np.nan).astype(np.float32),
                np.where(outside, series.north_nm, np.nan),
                "outside",
            ),
        ]
    )
    traces += [_arrows(view), *_fixes(plan.points), *_said(plan.points)]
    traces.append({**line(np.array([]), np.array([]), "ink", 6.0), "opacity": 0.3, "meta": {"chosen": True}})
    west, east, south, north = plan.box
    axis: dict[str, Any] = {
        "dtick": plan.grid_nm, "showticklabels": False, "gridcolor": light("grid"), "zeroline": False, "ticks": "",
    }  # fmt: skip
    made = figure(
        traces,
        xaxis={**axis, "range": [west, east]},
        yaxis={**axis, "range": [south, north], "scaleanchor": "x", "scaleratio": 1},
        annotations=[
            _note("N ↑", 0.01, 0.99, "left", "top", 15),
            *_said_numbers(plan.points),
            _note(grid_words(plan.grid_nm), 0.99, 0.01, "right", "bottom", 13),
        ],
    )
    made.update_layout(margin={"l": 6, "r": 6, "t": 6, "b": 6})
    return made


def grid_words(grid_nm: float) -> str:
    """``"a square: 5 NM"``: the plan view's scale."""
    return f"a square: {grid_nm:g} NM"


def _note(text: str, x: float, y: float, xanchor: str, yanchor: str, size: int) -> dict[str, Any]:
    return {
        "text": text, "xref": "paper", "yref": "paper", "x": x, "y": y, "xanchor": xanchor, "yanchor": yanchor,
        "showarrow": False, "font": {"size": size, "color": light("quiet")}, "bgcolor": light("card"),
    }  # fmt: skip


def _together(lines: tuple[PlanLine, ...], kind: str) -> Trace:
    """All lines of a kind in one trace."""
    role, width, dash = _LOOK[kind]
    gap = np.array([np.nan])
    parts = [(item.east_nm, item.north_nm) for item in lines if item.kind == kind]
    east: FloatArray = np.concatenate([part for one, _ in parts for part in (one, gap)] or [gap])
    north: FloatArray = np.concatenate([part for _, one in parts for part in (one, gap)] or [gap])
    return line(east.astype(np.float32), north, role, width, dash=dash)


def _arrows(view: DebriefView) -> Trace:
    """A few arrowheads along the track: which way it was flown."""
    series = view.series
    step_east, step_north = np.gradient(series.east_nm), np.gradient(series.north_nm)
    step = np.hypot(step_east, step_north)
    moving = np.flatnonzero(np.isfinite(step) & (step > 0.001))
    along = np.cumsum(step[moving])
    total = along[-1] if moving.size else 0.0
    at = moving[np.searchsorted(along, np.linspace(0, total, _ARROWS + 2)[1:-1])] if total > 0 else moving[:0]
    angle = np.degrees(np.arctan2(step_east[at], step_north[at]))
    return {
        "type": "scatter",
        "mode": "markers",
        "x": series.east_nm[at].astype(np.float32),
        "y": series.north_nm[at].astype(np.float32),
        "marker": {
            "symbol": "arrow",
            "angle": [round(float(one), 1) for one in angle],
            "size": 12,
            "color": light("flown"),
        },
    }


def _fixes(points: tuple[PlanPoint, ...]) -> list[Trace]:
    shown = [point for point in points if point.kind in ("fix", "runway")]
    if not shown:
        return []
    return [
        {
            "type": "scatter",
            "mode": "markers+text",
            "x": [point.east_nm for point in shown],
            "y": [point.north_nm for point in shown],
            "text": [figure_text(point.label) for point in shown],
            "textposition": [point.place for point in shown],
            "textfont": {"size": 13, "color": light("ink")},
            "cliponaxis": True,
            "marker": {
                "symbol": ["square" if point.kind == "runway" else "circle" for point in shown],
                "size": [5 if point.kind == "runway" else 8 for point in shown],
                "color": light("card"),
                "opacity": 1,
                "line": {"color": light("ink"), "width": 2},
            },
        }
    ]


def _said(points: tuple[PlanPoint, ...]) -> list[Trace]:
    """A dot where each instruction took effect."""
    said = [point for point in points if point.kind == "said"]
    if not said:
        return []
    return [
        {
            "type": "scatter",
            "mode": "markers",
            "x": [point.east_nm for point in said],
            "y": [point.north_nm for point in said],
            "marker": {
                "symbol": "circle", "size": 8, "color": light("quiet"), "opacity": 1,
                "line": {"color": light("card"), "width": 1.5},
            },
        }
    ]  # fmt: skip


def _said_numbers(points: tuple[PlanPoint, ...]) -> list[dict[str, Any]]:
    """The number of each instruction, on a line from its dot: it keeps its distance while the picture is zoomed."""
    numbers = []
    for point in points:
        if point.kind == "said" and point.label:
            right, down = said_offset(point.place)
            numbers.append(
                {
                    "text": figure_text(point.label, longest=14), "x": point.east_nm, "y": point.north_nm,
                    "ax": right, "ay": down, "showarrow": True, "arrowhead": 0, "arrowwidth": 1.5,
                    "arrowcolor": light("quiet"), "font": {"size": 12, "color": light("paper")},
                    "bgcolor": light("quiet"), "bordercolor": light("card"), "borderpad": 2,
                }
            )  # fmt: skip
    return numbers
