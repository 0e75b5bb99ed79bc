"""Any mixture of what simulators and receivers do to a log gives a track that keeps its promises."""

from __future__ import annotations

import dataclasses

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.errors import LegwiseError
from legwise.model.flown_time import flown_time_s
from legwise.tracks import mend
from tracks.built_flight import LESSON, Part, built
from tracks.track_promises import check_track

LONG = (*LESSON, Part(6000))
"""Long enough for time to run at 16 times through some of it."""

moments = st.floats(0.0, 1500.0)
lasts = st.sampled_from([1.0, 4.0, 30.0, 200.0])
warps = st.lists(st.tuples(moments, lasts, st.sampled_from([0.0, 0.5, 2.0, 3.0, 4.0, 16.0])), max_size=2)
offsets = st.lists(
    st.tuples(moments, lasts | st.just(np.inf), st.floats(-30.0, 30.0), st.floats(-1.0, 1.0)), max_size=3
)
holds = st.lists(st.tuples(moments, lasts), max_size=2)
steps = st.lists(st.tuples(moments, st.sampled_from([-1.0, 1.0, -300.0, 300.0, -3600.0, 86_400.0, -20.5])), max_size=2)


@settings(deadline=None, derandomize=True, max_examples=100)
@given(
    st.sampled_from([0.2, 1.0, 5.0, 10.0]),
    st.sampled_from([0.0, 3.0]),
    warps,
    offsets,
    holds,
    steps,
    st.sampled_from(["nothing", "speed", "speed and track"]),
)
def test_any_mixture_of_habits(
    interval_s: float,
    noise_m: float,
    warps: list[tuple[float, float, float]],
    offsets: list[tuple[float, float, float, float]],
    holds: list[tuple[float, float]],
    steps: list[tuple[float, float]],
    recorded: str,
) -> None:
    apart = [warp for n, warp in enumerate(sorted(warps)) if n == 0 or warp[0] > sum(sorted(warps)[n - 1][:2])]
    log = built(LONG, interval_s=interval_s, noise_m=noise_m, warps=apart, offsets=offsets, holds=holds)
    time_s = log.time_s.copy()
    for at_s, by_s in steps:
        time_s[log.at(at_s) :] += by_s
    log = dataclasses.replace(log, time_s=time_s)
    raw = log.raw(
        speed=None if recorded == "nothing" else log.kt, track=log.track_deg if recorded == "speed and track" else None
    )
    try:
        track = mend(raw)
    except LegwiseError:
        return
    check_track(raw, track)
    assert all((place - 1, place) in track.gaps for place in track.breaks)
    assert np.all(np.diff(flown_time_s(track)) >= 0.0)
    if track.held is not None:
        assert track.held.any()
        assert not track.held[0]
    if track.time_factor is not None:
        assert not np.any((track.time_factor == 0.0) & (track.held is None))
        assert np.isnan(track.motion.groundspeed_kt[track.time_factor == 0.0]).all()
