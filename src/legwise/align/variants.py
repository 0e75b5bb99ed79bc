"""A said heading or altitude that the track contradicts, while another value fits: one digit off, or the next one
said."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from legwise.align.flight import Flight, Stretch, variation_deg
from legwise.align.moments import Said
from legwise.align.profile import LEVEL_FPM
from legwise.align.runs import lasting_runs
from legwise.align.states import Kind
from legwise.align.words import feet
from legwise.geodesy import mean_direction_deg, turn_deg
from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.track import Channel

HEADING_OFF_DEG, HEADING_FITS_DEG = 9.0, 4.0
TRACK_OFF_DEG, TRACK_FITS_DEG = 25.0, 10.0
"""A recorded heading held 9 degrees or more from the one said contradicts it, and within 4 of another fits that one. A
track alone holds the drift besides. Common practice, no published source."""
NOT_FLOWN_DEG = 30.0
STEADY_DEG, STEADY_LEAST_S = 6.0, 20.0
ALTITUDE_OFF_FT, ALTITUDE_FITS_FT = 150.0, 50.0
"""Levelled off within 50 ft of another altitude, and 150 ft or more from the one said."""
HELD_LEAST_S = 45.0


def one_digit_off(number: int, width: int) -> list[int]:
    """Every number of so many digits that differs in one of them."""
    text = f"{number:0{width}d}"
    return [
        int(text[:place] + digit + text[place + 1 :])
        for place in range(len(text))
        for digit in "0123456789"
        if digit != text[place]
    ]


def heading_doubts(flight: Flight, stretches: list[Stretch]) -> dict[int, str]:
    """Questions about headings, by index of what was said."""
    flown, recorded = _heading_flown(flight)
    doubts: dict[int, str] = {}
    for place, epoch in enumerate(flight.epochs):
        here = [s for s in stretches if s.epoch == place and flight.states[s.state].kind is Kind.VECTORS]
        if epoch.kind != "heading" or not here:
            continue
        said = _heading_mag(flight, flight.said[epoch.said], here[0].start)
        held = _steady(flight, flown, here[0].start, here[-1].stop)
        if said is None or held is None:
            continue
        off, fits = (HEADING_OFF_DEG, HEADING_FITS_DEG) if recorded else (TRACK_OFF_DEG, TRACK_FITS_DEG)
        if abs(float(turn_deg(said, held))) < off:
            continue
        following = next((_heading_mag(flight, s, here[-1].stop - 1) for s in flight.said[epoch.said + 1 :]
                          if s.clearance.heading_deg_mag is not None), None)  # fmt: skip
        variants = [v for v in one_digit_off(round(said), 3) if 1 <= v <= 360]
        fitting = _nearest_turn(held, variants, fits)
        if following is not None and abs(float(turn_deg(following, held))) <= fits:
            doubts[epoch.said] = (
                f"The track holds {following:03.0f}, the heading said next, and never {said:03.0f}: "
                "were both given, and when?"
            )
        elif fitting is not None:
            doubts[epoch.said] = f"The track holds heading {fitting:03d}, not {said:03.0f}: was it {fitting:03d}?"
        elif abs(float(turn_deg(said, held))) >= NOT_FLOWN_DEG:
            doubts[epoch.said] = (
                f"The track settles on {round(held) % 360 or 360:03d} and never on {said:03.0f}: was it given?"
            )
    return doubts


def _nearest_turn(held: float, variants: Iterable[int], fits_deg: float) -> int | None:
    ranked = sorted((abs(float(turn_deg(v, held))), v) for v in variants)
    return ranked[0][1] if ranked and ranked[0][0] <= fits_deg else None


def _heading_flown(flight: Flight) -> tuple[FloatArray, bool]:
    """Heading (else track, as the second value says) of every sample. [deg magnetic]"""
    channels = flight.track.samples.channels
    if Channel.HEADING_DEG_MAG in channels:
        return channels[Channel.HEADING_DEG_MAG], True
    middle = len(flight.track) // 2
    variation = variation_deg(*flight.position(middle), float(flight.time_s[middle]))
    if Channel.HEADING_DEG_TRUE in channels:
        return channels[Channel.HEADING_DEG_TRUE] - variation, True
    return flight.track.motion.track_deg_true - variation, False


def _heading_mag(flight: Flight, said: Said, sample: int) -> float | None:
    words = said.clearance
    if words.heading_deg_mag is not None:
        return words.heading_deg_mag
    if words.heading_deg_true is None:
        return None
    variation = variation_deg(*flight.position(sample), float(flight.time_s[sample]))
    return float((words.heading_deg_true - variation) % 360.0) if np.isfinite(variation) else None


def _steady(flight: Flight, flown: FloatArray, start: int, stop: int) -> float | None:
    """The heading held over the second half of a stretch; None where none was held."""
    middle = flight.at(0.5 * float(flight.time_s[start] + flight.time_s[stop - 1]))
    values = flown[middle:stop]
    values = values[np.isfinite(values)]
    if not values.size or flight.flown_s[stop - 1] - flight.flown_s[middle] < STEADY_LEAST_S:
        return None
    held = float(mean_direction_deg(values))
    steady = float(np.mean(np.abs(turn_deg(held, values)) <= STEADY_DEG)) >= 0.8
    return held if steady and np.isfinite(held) else None


def altitude_doubts(
    flight: Flight, given: Sequence[tuple[int, float, int, int]], published: BoolArray
) -> dict[int, str]:
    """Questions about altitudes, by index of what was said.

    ``given`` holds (index, altitude [ft], first sample, last sample, exclusive); where ``published`` is true (n,) the
    approach's own altitudes are flown.
    """
    doubts: dict[int, str] = {}
    for number, (index, altitude_ft, start, stop) in enumerate(given):
        level = _levelled_ft(flight, start, stop, published)
        if not level or min(abs(each - altitude_ft) for each in level) < ALTITUDE_OFF_FT:
            continue
        held_ft = level[0]
        following = given[number + 1][1] if number + 1 < len(given) else None
        words = flight.said[index].clearance
        if words.flight_level is not None:
            variants = [v * 100.0 for v in one_digit_off(round(words.flight_level), len(f"{words.flight_level:.0f}"))]
        else:
            variants = [float(v) for v in one_digit_off(round(altitude_ft), len(f"{altitude_ft:.0f}"))]
        fitting = min(variants, key=lambda each: abs(each - held_ft))
        if following is not None and abs(following - held_ft) <= ALTITUDE_FITS_FT and following != altitude_ft:
            doubts[index] = (
                f"The track levels at {feet(following)}, said next, and never at {feet(altitude_ft)}: "
                "were both given, and when?"
            )
        elif abs(fitting - held_ft) <= ALTITUDE_FITS_FT and fitting > 0.0:
            doubts[index] = f"The track levels and stays at {feet(fitting)}: was it {feet(fitting)}?"
    return doubts


def _levelled_ft(flight: Flight, start: int, stop: int, published: BoolArray) -> list[float]:
    """The altitudes held in a stretch, the one held longest first. [ft]"""
    with np.errstate(invalid="ignore"):
        level = (np.abs(flight.climb_fpm[start:stop]) < LEVEL_FPM) & ~published[start:stop]
    level &= ~flight.flying.on_ground[start:stop] & np.isfinite(flight.altitude_ft[start:stop])
    times = flight.flown_s[start:stop]
    runs = lasting_runs(level, times, HELD_LEAST_S, bridge_s=5.0)
    ranked = sorted(runs, key=lambda run: float(times[run[0]] - times[run[1] - 1]))
    return [float(np.nanmedian(flight.altitude_ft[start + first : start + last])) for first, last in ranked]
