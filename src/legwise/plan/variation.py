"""Magnetic variation for the plan: a station's own where it is given, else the model at the fix on the date."""

from __future__ import annotations

import datetime as dt

from legwise.errors import LegwiseError, PlanError
from legwise.geodesy.angles import wrap_360
from legwise.geodesy.magnetic import declination_deg
from legwise.model.plan import Fix


class Variation:
    """Turns magnetic courses into true ones and back. Variation is east positive: true = magnetic + variation."""

    def __init__(self, date: dt.date) -> None:
        self._date = date
        self._found: dict[tuple[float, float], float] = {}

    def at(self, fix: Fix, station: Fix | None = None) -> float:
        """The variation for courses at ``fix``: the station's, the fix's own, or the model's. [deg]

        Raises
        ------
        PlanError
            The model does not cover the date.
        """
        if station is not None and station.variation_deg is not None:
            return station.variation_deg
        if fix.variation_deg is not None:
            return fix.variation_deg
        place = (fix.lat_deg, fix.lon_deg)
        if place not in self._found:
            try:
                self._found[place] = float(declination_deg(fix.lat_deg, fix.lon_deg, self._date))
            except LegwiseError as error:
                raise PlanError(
                    f"no magnetic variation at {fix.ident}: {error.message}",
                    remedy="Write the courses as ..._deg_true, or give the fix its variation_deg.",
                ) from error
        return self._found[place]

    def true_course(self, course_deg_mag: float, fix: Fix, station: Fix | None = None) -> float:
        """The true course of a magnetic one at ``fix``, in [0, 360). [deg]"""
        return float(wrap_360(course_deg_mag + self.at(fix, station)))

    def magnetic_course(self, course_deg_true: float, fix: Fix, station: Fix | None = None) -> float | None:
        """The magnetic course of a true one at ``fix``, in [0, 360), or None where no variation is known. [deg]"""
        try:
            return float(wrap_360(course_deg_true - self.at(fix, station)))
        except PlanError:
            return None


def east_or_west(variation_deg: float) -> str:
    """A variation in words: "7.0° west"."""
    return f"{abs(variation_deg):.1f}° {'east' if variation_deg >= 0 else 'west'}"
