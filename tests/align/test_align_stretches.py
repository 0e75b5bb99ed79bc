"""Whatever stretch of whatever track is labelled a hold, a reversal or an arc: what is told of it makes sense."""

from __future__ import annotations

import dataclasses
import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from align.align_flyer import APPROACH, FIXES, START_S, Flown, Flyer, flown_from, lesson_of, log, onward
from align.holding_flyer import Pattern, circuit, enter
from legwise.align.airborne import fields_of, flying
from legwise.align.arcs_flown import flown_arcs
from legwise.align.flight import Flight, Stretch
from legwise.align.flown import flown_legs
from legwise.align.holds_flown import flown_holds
from legwise.align.moments import said_in_order
from legwise.align.orders import epochs_of
from legwise.align.profile import turns_in, vertical_rate_fpm
from legwise.align.reversals_flown import flown_reversals
from legwise.align.states import Kind, states_of
from legwise.model.lesson import Lesson

LEGS = [
    {"path": "IF", "fix": "DOLPA"},
    {"path": "AF", "fix": "HOLMA", "centre": "XSKH", "radius_nm": 21.2, "turn": "left"},
    {"path": "PI", "fix": "HOLMA", "outbound_course_deg_true": 80.0, "turn": "left", "limit_nm": 10.0},
    {"path": "CF", "fix": "HOLMA", "course_deg_true": 260.0},
    {"path": "HF", "fix": "HOLMA", "inbound_course_deg_true": 260.0, "turn": "right", "leg_minutes": 1.0},
    {"path": "TF", "fix": "FERNU", "role": "FAF"},
    {"path": "TF", "fix": "RW27", "role": "MAP", "fly_over": True},
]


def _lesson(words: dict[str, object]) -> Lesson:
    approach = {**APPROACH, "guidance": "VOR", "minima": {"mda_ft": 600.0}, "leg": LEGS}
    return lesson_of(approach=[approach], clearance=[{"hold": {"fix": "HOLMA", **words}}])


def _around_holma() -> Flown:
    pattern = Pattern(fix="HOLMA", inbound=260.0, side="right")
    flyer = Flyer(position=onward(FIXES["HOLMA"], 250.0, 3.0), heading=70.0, wind_from=200.0, wind_kt=15.0)
    flyer.fly_direct("HOLMA", until_nm=0.05)
    enter(flyer, pattern, "teardrop")
    circuit(flyer, pattern)
    circuit(flyer, pattern)
    return log(flyer)


WHOLE = _around_holma()
OF_INTEREST = ("AF", "PI", "CF", "HF")
SAID: list[dict[str, object]] = [
    {},
    {"inbound_course_deg_true": 260.0, "turn": "right"},
    {"inbound_course_deg_mag": 10.0},
]


def _flight(flown: Flown, lesson: Lesson) -> Flight:
    plan = flown.plan(lesson)
    fields = fields_of(plan)
    said = said_in_order(lesson, flown.track)
    epochs = epochs_of(said, plan, flown.track)
    return Flight(
        track=flown.track,
        plan=plan,
        altitude_ft=flown.judged.altitude_ft,
        climb_fpm=vertical_rate_fpm(flown.track, flown.judged.altitude_ft),
        flying=flying(flown.track, flown.judged.altitude_ft, fields),
        fields=fields,
        turns=turns_in(flown.track),
        said=said,
        epochs=epochs,
        states=states_of(plan, [], [epoch.hold for epoch in epochs if epoch.hold is not None]),
    )


def _with_gap(first: int, last: int, *, pause: bool) -> Flown:
    """Without the samples in between; or with the clock standing there, nothing of the motion known."""
    samples = WHOLE.track.samples
    rows = np.column_stack([samples.time_s - START_S, samples.lat_deg, samples.lon_deg, WHOLE.judged.altitude_ft])
    if not pause:
        keep = [i for i in range(len(rows)) if not first <= i < last]
        return flown_from(rows[keep], [("", "")] * len(keep), {}, noise_m=0.0, gap_s=5.0)
    held = np.array([first <= i < last for i in range(len(rows))])
    motion = dataclasses.replace(
        WHOLE.track.motion,
        **{
            name: np.where(held, np.nan, getattr(WHOLE.track.motion, name))
            for name in ("groundspeed_kt", "track_deg_true", "track_rate_dps")
        },
    )
    track = dataclasses.replace(WHOLE.track, held=held, time_factor=np.where(held, 0.0, 1.0), motion=motion)
    return dataclasses.replace(WHOLE, track=track)


@settings(deadline=None, derandomize=True, max_examples=120)
@given(data=st.data())
def test_any_stretch_may_be_labelled_so(data: st.DataObject) -> None:
    first = data.draw(st.integers(2, len(WHOLE.track) - 2))
    last = data.draw(st.integers(first, len(WHOLE.track) - 2))
    flown = _with_gap(first, last, pause=data.draw(st.booleans()))
    flight = _flight(flown, _lesson(data.draw(st.sampled_from(SAID))))
    count = len(flown.track)
    cuts = sorted({0, count, *data.draw(st.lists(st.integers(1, count - 1), max_size=4))})
    state = st.sampled_from(
        [
            number
            for number, state in enumerate(flight.states)
            if state.kind in (Kind.HOLD, Kind.VECTORS) or (state.leg is not None and state.leg.kind in OF_INTEREST)
        ]
    )
    stretches = [
        Stretch(state=data.draw(state), epoch=len(flight.epochs) - 1, start=start, stop=stop)
        for start, stop in itertools.pairwise(cuts)
    ]
    begin_s, end_s = float(flight.time_s[0]), float(flight.time_s[-1])

    told = flown_holds(flight, stretches)
    legs = flown_legs(flight, stretches)

    for hold in told.holds:
        assert begin_s <= hold.entered_s <= end_s
        assert begin_s <= hold.left_s <= end_s
        for item in hold.circuits:
            assert item.start_s < item.end_s
            assert all(
                seconds is None or 0.0 <= seconds <= item.end_s - item.start_s + 1e-6
                for seconds in (item.outbound_s, item.inbound_s)
            )
    for reversal in flown_reversals(flight, legs.legs):
        assert 0 <= reversal.start < reversal.stop <= count
        assert begin_s <= reversal.start_s <= end_s
        assert reversal.established_s is None or reversal.start_s < reversal.established_s <= end_s
    for arc in flown_arcs(flight, legs.legs):
        assert begin_s <= arc.start_s <= arc.end_s <= end_s


@pytest.mark.parametrize("sample", [0, 1, -1])
def test_a_stretch_of_one_sample_is_no_circuit(sample: int) -> None:
    flight = _flight(WHOLE, _lesson({"inbound_course_deg_true": 260.0}))
    place = sample % len(WHOLE.track)
    hold = next(
        n for n, state in enumerate(flight.states) if state.leg is None and state.end_ident == "HOLMA" and n > 2
    )

    told = flown_holds(flight, [Stretch(state=hold, epoch=1, start=place, stop=place + 1)])

    assert all(not item.circuits for item in told.holds)
