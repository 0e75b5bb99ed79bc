"""What a leg is before it has a path: one form for legs written into a lesson and for legs coded in navigation data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

from legwise.errors import PlanError
from legwise.model.lesson import PathTerminator, Role, Turn
from legwise.model.plan import AltitudeWindow, Fix

_T = TypeVar("_T")

TO_FIX = frozenset({"IF", "TF", "CF", "DF", "RF", "AF"})
"""Legs that end at their fix."""
FROM_FIX = frozenset({"FA", "FC", "FD", "FM"})
"""Legs that begin at their fix and end elsewhere."""
HOLDS = frozenset({"HA", "HF", "HM"})
"""Holds: to an altitude, once round, until told otherwise."""
BACK_AT_FIX = HOLDS | {"PI"}
"""Legs that begin at their fix and lead back to it."""
HEADINGS = frozenset({"VA", "VD", "VI", "VM", "VR"})
"""Legs on which a heading is owed and no track."""
COURSES = frozenset({"CA", "CD", "CI", "CR"})
"""Legs that follow a course from wherever the aircraft is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """A published direction by both norths. [deg] ``mag_deg`` is None where no variation is known."""

    true_deg: float
    mag_deg: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LegSpec:
    """A leg with its fixes looked up and its courses made true; what it does not have is None.

    ``fix`` is where it ends or begins, as its ``kind`` says; ``centre`` that of an arc; ``station`` the one whose
    distance or radial ends it. ``course`` is the published one: at the fix of a CF, from that of an F leg, inbound of a
    hold, outbound of a PI, the heading of a V leg, what is charted of a TF. ``radial`` is that of ``station`` where
    the leg ends, of an AF that of its centre where it begins. ``distance_nm`` and ``minutes`` are the published length,
    of a PI the limit. ``variation_deg`` (east positive) makes its other courses magnetic, or where that is None the
    variation of ``navaid``, else the model. ``where`` names it in messages.
    """

    kind: PathTerminator
    where: str
    fix: Fix | None = None
    centre: Fix | None = None
    station: Fix | None = None
    navaid: Fix | None = None
    course: Course | None = None
    radial: Course | None = None
    variation_deg: float | None = None
    distance_nm: float | None = None
    minutes: float | None = None
    radius_nm: float | None = None
    turn: Turn | None = None
    altitude: AltitudeWindow | None = None
    speed_max_kt: float | None = None
    speed_min_kt: float | None = None
    role: Role | None = None
    fly_over: bool = False
    vertical_angle_deg: float | None = None
    procedure: str = ""


def needed(value: _T | None, spec: LegSpec, what: str, remedy: str) -> _T:
    """``value``, which a leg of this kind can't do without. Raises PlanError where it is missing."""
    if value is None:
        raise PlanError(f"the {spec.kind} leg {what}", where=spec.where, remedy=remedy)
    return value


def checked_window(window: AltitudeWindow | None, where: str) -> AltitudeWindow | None:
    """The altitudes of a leg, None where it binds to none. Raises PlanError where the lower lies above the higher."""
    if window is None or (window.low_ft is None and window.high_ft is None and window.glidepath_ft is None):
        return None
    if window.low_ft is not None and window.high_ft is not None and window.low_ft > window.high_ft:
        raise PlanError(
            f"the altitudes are upside down: at or above {window.low_ft:,.0f} ft and at or below "
            f"{window.high_ft:,.0f} ft",
            where=where,
            remedy="The lower altitude is the one to be at or above.",
        )
    return window
