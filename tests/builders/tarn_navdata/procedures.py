"""Procedures written leg by leg, with courses, distances, bearings worked out from the places that they join.

Courses are given and worked out true. A procedure of area navigation is coded magnetic by the aerodrome's variation of
record, a conventional one by the declination of the station that the leg names, or that the last leg named (FAA AIM
1-1-17; in the government's files a course along a radial is coded as the radial, departures too).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from builders.tarn.earth import Point, inverse
from builders.tarn_navdata.columns import Place
from builders.tarn_navdata.legs import Part, leg, levels

Magnetic = Callable[[float], float]
AREA_NAVIGATION = "456RH"
"""Route types whose courses go by the aerodrome's variation."""
FROM_FIX = ("IF", "CF", "FA", "FC", "FD", "FM", "PI", "HA", "HM")


class Procedure:
    """Legs of one part, added in order; the records when it is whole.

    ``transition_ft`` stands on the first record. A fix that ends a leg is where the next one begins.
    """

    def __init__(self, part: Part, variation_deg: float, *, transition_ft: float | None = 18000) -> None:
        self.part = part
        self._variation_deg = variation_deg
        self._transition_ft = transition_ft
        self._at: Point | None = None
        self._legs: list[tuple[str, Place | None, dict[str, Any]]] = []
        self._levels: dict[int, dict[str, Any]] = {}
        self._sequences: list[int] = []

    def leg(
        self,
        path: str,
        fix: Place | None = None,
        *,
        course: float | None = None,
        navaid: Place | None = None,
        radial: float | None = None,
        sequence: int | None = None,
        service: dict[str, Any] | None = None,
        **columns: Any,
    ) -> Procedure:
        """Add a leg. ``course``, ``radial``: true degrees; other columns as :func:`builders.tarn_navdata.legs.leg`.

        A CF finds its course and distance from the fix before it, an AF and an RF their bearings, a leg from or to a
        fix its bearing and distance from ``navaid``. ``service``: the levels of a final approach fix's continuation.
        """
        if navaid is not None and self.part.route_type not in AREA_NAVIGATION:
            self._variation_deg = navaid.variation_deg
        declination = self._variation_deg
        own = declination if navaid is None else navaid.variation_deg

        def magnetic(true_deg: float) -> float:
            return (true_deg - declination) % 360.0

        def radial_of(true_deg: float) -> float:
            return (true_deg - own) % 360.0

        start = self._at
        if path == "CF" and start is not None and fix is not None:
            length_nm, _, arriving = inverse(start, fix.point)
            course = arriving if course is None else course
            columns.setdefault("distance_nm", length_nm)
        if path == "RF":
            self._add_arc(fix, columns, magnetic)
        elif path == "AF":
            self._add_dme_arc(fix, navaid, columns, radial_of)
        elif navaid is not None and fix is not None and path in FROM_FIX and navaid.has_dme:
            rho_nm, theta, _ = inverse(navaid.point, fix.point)
            columns["theta_deg_mag"] = 0.0 if rho_nm < 0.01 else radial_of(theta)
            columns["rho_nm"] = rho_nm
        if course is not None:
            columns["course_deg_mag"] = magnetic(course)
        if radial is not None:
            columns["theta_deg_mag"] = radial_of(radial)
        if navaid is not None:
            columns["navaid"] = navaid
        if service is not None:
            columns["continued"] = True
            self._levels[len(self._legs)] = service
        self._sequences.append(sequence if sequence is not None else 10 * (len(self._sequences) + 1))
        self._legs.append((path, fix, columns))
        self._at = None if fix is None or path in ("FA", "FC", "FD", "FM") else fix.point
        return self

    def _add_arc(self, fix: Place | None, columns: dict[str, Any], magnetic: Magnetic) -> None:
        """An RF leg: radius to the end, tangents at both ends (tangent inbound in theta), length along the arc."""
        if fix is None or self._at is None:
            raise ValueError("an RF leg runs from a fix to a fix")
        centre = columns["centre"].point
        side = 90.0 if columns["turn"] == "R" else -90.0
        radius_nm, from_centre, _ = inverse(centre, fix.point)
        _, begun, _ = inverse(centre, self._at)
        swept = (from_centre - begun) % 360.0 if side > 0 else (begun - from_centre) % 360.0
        columns["radius_nm"] = radius_nm
        columns["theta_deg_mag"] = magnetic(begun + side)
        columns["course_deg_mag"] = magnetic(from_centre + side)
        columns["distance_nm"] = radius_nm * math.radians(swept)

    def _add_dme_arc(
        self, fix: Place | None, navaid: Place | None, columns: dict[str, Any], radial_of: Magnetic
    ) -> None:
        """An AF leg: the bearing of its end in theta, of its start in the course, the arc's radius in rho."""
        if fix is None or navaid is None or self._at is None:
            raise ValueError("an AF leg runs from a fix to a fix about a station")
        columns["rho_nm"], theta, _ = inverse(navaid.point, fix.point)
        columns["theta_deg_mag"] = radial_of(theta)
        columns["course_deg_mag"] = radial_of(inverse(navaid.point, self._at)[1])

    def records(self) -> list[str]:
        """The records, the continuation of a leg behind it."""
        found = []
        for index, (path, fix, columns) in enumerate(self._legs):
            sequence, ends = self._sequences[index], index + 1 == len(self._legs)
            first_ft = self._transition_ft if index == 0 else None
            last = ends and fix is not None
            found.append(leg(self.part, sequence, path, fix, last=last, transition_ft=first_ft, **columns))
            if index in self._levels and fix is not None:
                found.append(levels(self.part, sequence, fix, **self._levels[index]))
        return found
