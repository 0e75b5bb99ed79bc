"""One flight as the findings see it: the stages' results, and for every sample its segment and its piece between
gaps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.assess.events import event_time_s
from legwise.assess.judging import Series
from legwise.model.alignment import GUIDANCE_CODE, PHASE_CODE, Alignment, FlownApproach, Guidance, Phase
from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.deviations import Deviations
from legwise.model.flown_time import flown_interval_s, flown_time_s
from legwise.model.lesson import Lesson
from legwise.model.plan import LegPart, Plan, PlannedApproach
from legwise.model.standard import Quantity, Segment, Standard, Tolerance
from legwise.model.track import Track

SEGMENTS: tuple[Segment, ...] = tuple(Segment)
SEGMENT_CODE: dict[Segment, int] = {segment: code for code, segment in enumerate(SEGMENTS)}
NO_SEGMENT = -1

_APPROACH_CODES = [
    SEGMENT_CODE[segment]
    for segment in (Segment.APPROACH_BEFORE_FINAL, Segment.FINAL_PRECISION, Segment.FINAL_NONPRECISION)
]

FLOWN_S = 5.0
"""A path flown for less than this says nothing of how it was held. Common practice, no published source. [s]"""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Flight:
    """Everything a finding is made from.

    ``segment`` holds positions in :data:`SEGMENTS` (-1 on the ground); ``part`` numbers the pieces of the track
    between its gaps; ``visual`` is true between the instructor's ``visual`` and ``visual-lost``. ``flown_s`` is the
    clock by which the flight was flown, whose differences are durations, ``interval_s`` the usual one of them.
    """

    track: Track
    plan: Plan
    lesson: Lesson
    alignment: Alignment
    deviations: Deviations
    standard: Standard
    segment: IntArray
    part: IntArray
    visual: BoolArray
    flown_s: FloatArray
    interval_s: float

    @property
    def time_s(self) -> FloatArray:
        """UTC epoch seconds of the samples."""
        return self.track.samples.time_s

    @property
    def altitude_ft(self) -> FloatArray:
        """The altitude that is judged. [ft]"""
        return self.deviations.judged.altitude_ft

    def tolerances(
        self, quantity: Quantity, segment: Segment, approach: PlannedApproach | None = None
    ) -> tuple[Tolerance, ...]:
        """The standard's limits for ``quantity`` in ``segment`` that the approach's guidance brings into play."""
        return tuple(
            tolerance
            for tolerance in self.standard.tolerances
            if tolerance.quantity is quantity and segment in tolerance.segments and self._in_play(tolerance, approach)
        )

    def _in_play(self, tolerance: Tolerance, approach: PlannedApproach | None) -> bool:
        if tolerance.glidepath is not None and tolerance.glidepath != (approach is not None and on_glidepath(approach)):
            return False
        if tolerance.guidances is not None and (approach is None or approach.guidance not in tolerance.guidances):
            return False
        return tolerance.vertical_source in {None, self.lesson.navigation.vertical}

    def series(self, index: IntArray, value: FloatArray, doubt: FloatArray, tolerance: Tolerance) -> Series:
        """The samples at ``index`` of whole-flight columns ``value`` and ``doubt``, against the band of
        ``tolerance``."""
        return Series(
            index=index,
            time_s=self.flown_s[index],
            value=value[index],
            doubt=doubt[index],
            low=np.full(index.size, tolerance.low),
            high=np.full(index.size, tolerance.high),
            part=self.part[index],
            factor=self.factor(index),
        )

    def factor(self, index: IntArray) -> FloatArray | None:
        """How many seconds were flown in each second of the log before the samples at ``index``; None where one."""
        factor = self.track.time_factor
        return None if factor is None else factor[index]

    def part_stop(self, sample: int) -> int:
        """The first sample after ``sample`` at which the aircraft was put elsewhere; past the last without one."""
        return next((place for place in self.track.breaks if place > sample), len(self.track))

    def approach_at(self, sample: int) -> PlannedApproach | None:
        """The approach of the plan that is being flown at a sample, or None."""
        flown = int(self.alignment.approach[sample])
        return None if flown < 0 else planned_approach(self.plan, self.alignment.approaches[flown])


def flight_of(
    track: Track, plan: Plan, lesson: Lesson, alignment: Alignment, deviations: Deviations, standard: Standard
) -> Flight:
    """The flight with its segments told apart."""
    return Flight(
        track=track,
        plan=plan,
        lesson=lesson,
        alignment=alignment,
        deviations=deviations,
        standard=standard,
        segment=_segments(alignment, plan),
        part=_parts(track),
        visual=_visual(track, lesson),
        flown_s=flown_time_s(track),
        interval_s=flown_interval_s(track),
    )


def planned_approach(plan: Plan, flown: FlownApproach) -> PlannedApproach:
    """The approach of the plan that was flown."""
    return next((item for item in plan.approaches if item.index == flown.approach), plan.approaches[flown.approach])


def on_glidepath(approach: PlannedApproach) -> bool:
    """True where a glidepath is flown to a decision altitude; an advisory one above an MDA is not judged."""
    return approach.has_glidepath and not (approach.da_ft is None and approach.mda_ft is not None)


def final_start(alignment: Alignment, flown: FlownApproach, approach: PlannedApproach) -> int | None:
    """The first sample of the final segment as flown: abeam the final approach fix, or the joining past it."""
    if flown.faf is not None:
        return flown.faf
    roles = [leg.role for leg in approach.legs]
    if flown.joined is None or "FAF" not in roles:
        return None
    past_faf = {leg.id for leg in approach.legs[roles.index("FAF") + 1 :]}
    starts = [
        max(leg.start, flown.joined)
        for leg in alignment.legs
        if leg.planned is not None and leg.planned.id in past_faf and flown.start <= leg.start < flown.stop
    ]
    return min(starts, default=None)


def path_judged_from(flight: Flight, index: IntArray) -> IntArray:
    """The samples of ``index`` (ascending) from where the lateral path is judged.

    On a leg of the plan that belongs to an approach that is from where the aircraft was established, on any leg from
    where the alignment says that it was joined.
    """
    legs = flight.alignment.legs
    starts = np.array([leg.start if leg.judged_from is None else leg.judged_from for leg in legs], dtype=np.int64)
    planned = np.array([leg.planned is not None for leg in legs], dtype=np.bool_)
    position = flight.alignment.leg[index]
    on_leg = position >= 0
    judged = np.ones(index.size, dtype=np.bool_)
    judged[on_leg] = index[on_leg] >= starts[position[on_leg]]
    published = np.zeros(index.size, dtype=np.bool_)
    published[on_leg] = planned[position[on_leg]]
    before = published & np.isin(flight.segment[index], _APPROACH_CODES) & ~flight.alignment.established[index]
    judged &= ~before
    first = np.flatnonzero(judged)
    return index[first[0] :] if first.size else index[:0]


def runs(mask: BoolArray) -> list[tuple[int, int]]:
    """Stretches (start, stop exclusive) of true values."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(np.int8)))
    return [(int(start), int(stop)) for start, stop in zip(edges[::2], edges[1::2], strict=True)]


def _segments(alignment: Alignment, plan: Plan) -> IntArray:
    segment = np.full(alignment.leg.shape, SEGMENT_CODE[Segment.ROUTE], dtype=np.int64)
    for position, leg in enumerate(alignment.legs):
        here = alignment.leg == position
        if leg.planned is not None and leg.planned.part is LegPart.MISSED:
            segment[here] = SEGMENT_CODE[Segment.MISSED]
        elif leg.approach is not None or (leg.planned is not None and leg.planned.part is LegPart.APPROACH):
            segment[here] = SEGMENT_CODE[Segment.APPROACH_BEFORE_FINAL]
    before_final = segment == SEGMENT_CODE[Segment.APPROACH_BEFORE_FINAL]
    for position, flown in enumerate(alignment.approaches):
        approach = planned_approach(plan, flown)
        start = final_start(alignment, flown, approach)
        if start is not None:
            final = Segment.FINAL_PRECISION if on_glidepath(approach) else Segment.FINAL_NONPRECISION
            inside = (alignment.approach == position) & (np.arange(segment.size) >= start)
            segment[before_final & inside] = SEGMENT_CODE[final]
    missed = (alignment.phase == PHASE_CODE[Phase.MISSED]) | (alignment.guidance == GUIDANCE_CODE[Guidance.MISSED])
    segment[missed] = SEGMENT_CODE[Segment.MISSED]
    segment[alignment.guidance == GUIDANCE_CODE[Guidance.VECTORS]] = SEGMENT_CODE[Segment.VECTORS]
    segment[alignment.phase == PHASE_CODE[Phase.GROUND]] = NO_SEGMENT
    segment.setflags(write=False)
    return segment


def _parts(track: Track) -> IntArray:
    step = np.zeros(len(track), dtype=np.int64)
    factor = np.ones(len(track)) if track.time_factor is None else track.time_factor
    for before, after in track.gaps:
        # A pause is cut out: the flight goes on after it as if there had been none.
        step[after] = factor[before] != 0.0 and factor[after] != 0.0
    part = np.cumsum(step)
    part.setflags(write=False)
    return part


def _visual(track: Track, lesson: Lesson) -> BoolArray:
    """Where the references were in sight, as the instructor said."""
    time_s = track.samples.time_s
    visual = np.zeros(time_s.size, dtype=np.bool_)
    said = sorted(
        (event_time_s(event.time, lesson, track), event.what == "visual")
        for event in lesson.event
        if event.what in {"visual", "visual-lost"}
    )
    for at_s, seen in said:
        visual[time_s >= at_s] = seen
    visual.setflags(write=False)
    return visual
