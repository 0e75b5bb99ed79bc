"""The DME arcs of a flight: from the bisector of the turn onto each to that of the turn off it."""

from __future__ import annotations

from legwise.align.flight import Flight
from legwise.model.alignment import FlownLeg
from legwise.model.manoeuvres import FlownArc


def flown_arcs(flight: Flight, legs: tuple[FlownLeg, ...]) -> tuple[FlownArc, ...]:
    """Every AF leg as flown."""
    found = []
    for place, leg in enumerate(legs):
        planned = leg.planned
        if planned is None or leg.kind != "AF" or planned.centre is None or planned.radius_nm is None:
            continue
        if planned.path is not None:
            found.append(
                FlownArc(
                    centre=planned.centre,
                    radius_nm=planned.radius_nm,
                    path=planned.path,
                    start_s=float(flight.time_s[leg.start]),
                    end_s=float(flight.time_s[min(leg.stop, len(flight.track) - 1)]),
                    start=leg.start,
                    stop=leg.stop,
                    leg=place,
                )
            )
    return tuple(found)
