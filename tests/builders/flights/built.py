"""A finished flight: the log as it was recorded, the lesson, and what was true at every record."""

from __future__ import annotations

import datetime as dt
import itertools
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from builders.flights.flyer import Moment
from builders.flights.lesson import lesson_text
from builders.flights.plane import FloatArray
from builders.flights.said import Truth, clock, notes_of
from builders.flights.script import Script
from builders.flights.world import Chance, World
from builders.tarn_navdata.build import file_text

BOUNDARY_S = 5.0


@dataclass(frozen=True)
class Rows:
    """The records; ``t`` in seconds from the start, the rest as columns."""

    t: FloatArray
    lat_deg: FloatArray
    lon_deg: FloatArray
    indicated_ft: FloatArray
    gnss_ft: FloatArray
    heading_deg_mag: FloatArray
    ias_kt: FloatArray


@dataclass(frozen=True)
class BuiltFlight:
    """One flight. ``guidance``, ``leg``, ``phase`` for each row; ``near`` within 5 s of a change of the two first.

    ``moments`` is the true state twice a second. ``leg`` may hold several names with "|" where the contract leaves it
    open which it is.
    """

    kind: str
    seed: int
    world: World
    rows: Rows
    csv: str
    lesson: str
    mode: str
    changed: tuple[str, ...]
    guidance: NDArray[np.str_]
    leg: NDArray[np.str_]
    phase: NDArray[np.str_]
    scored: NDArray[np.bool_]
    near: NDArray[np.bool_]
    truth: Truth
    moments: tuple[Moment, ...]
    script: Script

    def write(self, folder: Path) -> None:
        """``track.csv`` and ``lesson.toml`` into a folder."""
        (folder / "track.csv").write_text(self.csv, encoding="utf-8")
        (folder / "lesson.toml").write_text(self.lesson, encoding="utf-8")
        if self.script.land.coded:
            (folder / "islands.dat").write_text(file_text(), encoding="ascii")


def build(script: Script, mode: str) -> BuiltFlight:
    """Record a flown script."""
    world, land = script.world, script.land
    moments = [moment for moment in script.log if moment.t > 0.0]
    times, places, near_change = _times(world, moments)
    true_t = np.array([moment.t for moment in moments])
    holder = np.clip(np.searchsorted(true_t, times, side="right") - 1, 0, len(moments) - 1)
    rows = _rows(world, times, places, moments, true_t)
    notes = notes_of(script.truth.instructions, mode, Chance(world.kind, world.seed, "notes"))
    return BuiltFlight(
        kind=world.kind, seed=world.seed, world=world, rows=rows,
        csv=_csv(world, rows),
        lesson=lesson_text(land, notes.tables, title=f"{world.kind}, {world.seed}"),
        mode=mode, changed=tuple(notes.changed),
        guidance=np.array([moments[i].guidance for i in holder]),
        leg=np.array([moments[i].leg for i in holder]),
        phase=np.array([moments[i].phase for i in holder]),
        scored=np.array([moments[i].scored for i in holder]),
        near=near_change, truth=script.truth, moments=tuple(moments), script=script,
    )  # fmt: skip


def _times(world: World, moments: list[Moment]) -> tuple[FloatArray, NDArray[np.complex128], NDArray[np.bool_]]:
    last = moments[-1].t
    step = 1.0 / world.recorder.rate_hz
    times = np.round(np.arange(1.0, last, step), 1)
    if world.recorder.gap_s is not None:
        share, seconds = world.recorder.gap_s
        times = times[(times < share * last) | (times > share * last + seconds)]
    t = np.array([moment.t for moment in moments])
    place = np.array([moment.place for moment in moments])
    places = np.interp(times, t, place.real) + 1j * np.interp(times, t, place.imag)
    changes = np.array(
        [
            after.t
            for before, after in itertools.pairwise(moments)
            if (before.guidance, before.leg) != (after.guidance, after.leg)
        ]
    )
    near = np.zeros(len(times), dtype=bool)
    for change in changes:
        near |= np.abs(times - change) <= BOUNDARY_S
    return times, places, near


def _coloured(chance: Chance, times: FloatArray, size: float, memory_s: float) -> FloatArray:
    """Noise with a memory, at uneven times."""
    noise = np.empty(len(times))
    value = chance.normal()
    before = times[0]
    for index, time in enumerate(times):
        keep = math.exp(-(time - before) / memory_s)
        value = keep * value + math.sqrt(1.0 - keep * keep) * chance.normal()
        noise[index], before = value, time
    return size * noise


def _rows(
    world: World, times: FloatArray, places: NDArray[np.complex128], moments: list[Moment], t: FloatArray
) -> Rows:
    recorder, seed = world.recorder, (world.kind, world.seed)
    paused = ~np.array([moment.scored for moment in moments])
    frozen = np.interp(times, t, paused.astype(float)) > 0.0
    east, north = (
        _coloured(Chance(*seed, word), times, recorder.noise_m / 1852.0, recorder.memory_s)
        for word in ("east", "north")
    )
    places = places + east + 1j * north
    lat, lon = world.plane.positions(places.real, places.imag)
    heading = np.unwrap(np.radians([moment.heading for moment in moments]))
    grid = np.degrees(np.interp(times, t, heading)) % 360.0
    sparse = slice(None, None, max(len(times) // 200, 1))
    turned = [world.plane.mag_of(0.0, complex(place)) for place in places[sparse]]
    to_mag = np.interp(times, times[sparse], np.degrees(np.unwrap(np.radians(turned))))
    altitude = np.interp(times, t, [moment.altitude_ft for moment in moments])
    rows = Rows(
        t=times, lat_deg=lat, lon_deg=lon,
        indicated_ft=altitude + _coloured(Chance(*seed, "altimeter"), times, 5.0, 200.0),
        gnss_ft=altitude + _coloured(Chance(*seed, "up"), times, 2.0 * recorder.noise_m / 0.3048, 60.0),
        heading_deg_mag=(grid + to_mag + _coloured(Chance(*seed, "compass"), times, 0.5, 120.0)) % 360.0,
        ias_kt=np.maximum(np.interp(times, t, [moment.ias_kt for moment in moments]), 0.0),
    )  # fmt: skip
    # In a pause every channel stands still as it was.
    held = np.maximum.accumulate(np.where(frozen, 0, np.arange(len(times))))
    columns = {name: getattr(rows, name)[held] for name in Rows.__dataclass_fields__ if name != "t"}
    return Rows(t=times, **columns)


def iso(t: float) -> str:
    """A time of the log, with a fraction only where there is one."""
    time: dt.datetime = clock(t)
    fraction = f".{time.microsecond // 100_000}" if time.microsecond else ""
    return f"{time:%Y-%m-%dT%H:%M:%S}{fraction}Z"


def _csv(world: World, rows: Rows) -> str:
    recorder = world.recorder
    columns = {
        "Time UTC": [iso(float(t)) for t in rows.t],
        "Latitude deg": [f"{v:.7f}" for v in rows.lat_deg],
        "Longitude deg": [f"{v:.7f}" for v in rows.lon_deg],
        "Altitude indicated ft": [f"{v:.0f}" for v in rows.indicated_ft],
    }
    if recorder.gnss:
        columns["Altitude GPS MSL ft"] = [f"{v:.1f}" for v in rows.gnss_ft]
    if recorder.heading:
        columns["Heading deg mag"] = [f"{v % 360.0:.1f}".replace("360.0", "0.0") for v in rows.heading_deg_mag]
    if recorder.ias:
        columns["IAS kt"] = [f"{v:.1f}" for v in rows.ias_kt]
    lines = [",".join(columns), *(",".join(cells) for cells in zip(*columns.values(), strict=True))]
    return "\n".join(lines) + "\n"
