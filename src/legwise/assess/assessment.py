"""The assessment: figures and findings, in the order of the flight."""

from __future__ import annotations

import dataclasses

from legwise.assess.altitudes import altitude_findings
from legwise.assess.crossings import crossing_findings
from legwise.assess.directions import heading_findings, missed_course_findings, station_findings
from legwise.assess.figures import approach_results, clearance_results, leg_results, turn_results
from legwise.assess.finals import finals_of
from legwise.assess.flight import flight_of
from legwise.assess.manoeuvres import arc_results, hold_results, reversal_results
from legwise.assess.minima import minima_findings
from legwise.assess.missed import missed_results
from legwise.assess.needles import final_findings, leg_findings
from legwise.model.alignment import Alignment
from legwise.model.deviations import Deviations
from legwise.model.lesson import Lesson
from legwise.model.plan import Plan
from legwise.model.results import Assessment, Finding
from legwise.model.standard import Standard
from legwise.model.track import Track


def assess(
    track: Track, plan: Plan, lesson: Lesson, alignment: Alignment, deviations: Deviations, standard: Standard
) -> Assessment:
    """What was flown against what was owed, counted: figures by leg and approach, and a finding for each limit and
    stretch.

    Nothing is owed without a plan or an instruction, so without them there are no findings. Every finding names its
    limit, worst value, time, source and doubt; its numbers can be worked out again from the columns of ``samples.csv``.
    """
    flight = flight_of(track, plan, lesson, alignment, deviations, standard)
    finals = finals_of(flight)
    found = [
        *altitude_findings(flight),
        *heading_findings(flight),
        *leg_findings(flight),
        *crossing_findings(flight),
        *final_findings(flight, finals),
        *station_findings(flight, finals),
        *minima_findings(flight, finals),
        *missed_course_findings(flight),
    ]
    return Assessment(
        legs=leg_results(flight),
        approaches=approach_results(flight, finals),
        clearances=clearance_results(flight),
        findings=_numbered(found),
        turns=turn_results(flight),
        missed=missed_results(flight, finals),
        holds=hold_results(flight),
        reversals=reversal_results(flight),
        arcs=arc_results(flight),
    )


def _numbered(found: list[Finding]) -> tuple[Finding, ...]:
    """The findings in time order, each with its id."""
    in_order = sorted(found, key=lambda item: (item.from_, item.to))
    return tuple(dataclasses.replace(item, id=f"F{number}") for number, item in enumerate(in_order, start=1))
