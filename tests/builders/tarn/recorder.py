"""What a recorder would have written: the true state with a receiver's and an instrument's errors, as CSV or GPX."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from builders.tarn.chance import Wander
from builders.tarn.earth import M_PER_FT, Point, moved
from builders.tarn.flight import Second


@dataclass(frozen=True, slots=True)
class Receiver:
    """Errors of a recorder, one standard deviation; those of position and height last about a minute."""

    horizontal_m: float = 1.0
    vertical_m: float = 2.0
    memory_s: float = 60.0
    altimeter_ft: float = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One record."""

    time: dt.datetime
    position: Point
    gnss_msl_ft: float
    indicated_ft: float
    groundspeed_kt: float
    track_deg_true: float
    heading_deg_mag: float
    ias_kt: float
    bank_deg: float
    vertical_speed_fpm: float


def record(log: Sequence[Second], seed: int, receiver: Receiver) -> list[Row]:
    """The records of a flight."""
    north = Wander(seed * 1000 + 11, receiver.horizontal_m, receiver.memory_s)
    east = Wander(seed * 1000 + 12, receiver.horizontal_m, receiver.memory_s)
    up = Wander(seed * 1000 + 13, receiver.vertical_m, receiver.memory_s)
    altimeter = Wander(seed * 1000 + 14, receiver.altimeter_ft, 300.0)
    compass = Wander(seed * 1000 + 15, 0.4, 120.0)
    speed, track = Wander(seed * 1000 + 16, 0.2, 2.0), Wander(seed * 1000 + 17, 0.15, 2.0)
    rows = []
    for second in log:
        position = moved(second.position, north.step(1.0), east.step(1.0))
        rows.append(
            Row(
                time=second.time,
                position=position,
                gnss_msl_ft=second.true_ft + up.step(1.0) / M_PER_FT,
                indicated_ft=second.indicated_ft + altimeter.step(1.0),
                groundspeed_kt=max(second.groundspeed_kt + speed.step(1.0), 0.0) if second.groundspeed_kt > 0 else 0.0,
                track_deg_true=(second.track_deg_true + track.step(1.0)) % 360.0,
                heading_deg_mag=(second.heading_deg_true - second.variation_deg + compass.step(1.0)) % 360.0,
                ias_kt=second.ias_kt,
                bank_deg=second.bank_deg,
                vertical_speed_fpm=second.vertical_speed_fpm,
            )
        )
    return rows


def iso(time: dt.datetime) -> str:
    """A time as it is written everywhere here: UTC, with a fraction only where there is one."""
    fraction = f".{time.microsecond // 100_000}" if time.microsecond else ""
    return f"{time:%Y-%m-%dT%H:%M:%S}{fraction}Z"


CSV_HEADINGS = (
    "Time UTC", "Latitude deg", "Longitude deg", "Altitude indicated ft", "Altitude GPS MSL ft", "Groundspeed kt",
    "Track deg true", "Heading deg mag", "IAS kt", "Vertical speed fpm", "Bank deg",
)  # fmt: skip


def csv_text(rows: Sequence[Row], preamble: Sequence[str] = ()) -> str:
    """The records as CSV, with commas and points; an airspeed below 25 kt reads nothing, as instruments do."""
    lines = [*preamble, ",".join(CSV_HEADINGS)]
    for row in rows:
        cells = (
            iso(row.time),
            f"{row.position.lat_deg:.7f}",
            f"{row.position.lon_deg:.7f}",
            f"{row.indicated_ft:.0f}",
            f"{row.gnss_msl_ft:.1f}",
            f"{row.groundspeed_kt:.1f}",
            f"{_below_360(row.track_deg_true):.1f}" if row.groundspeed_kt >= 3.0 else "",
            f"{_below_360(row.heading_deg_mag):.1f}",
            f"{row.ias_kt:.1f}" if row.ias_kt >= 25.0 else "",
            f"{row.vertical_speed_fpm + 0.0:.0f}",
            f"{row.bank_deg:.1f}",
        )
        lines.append(",".join(cell.replace("-0.0", "0.0") if cell == "-0.0" else cell for cell in cells))
    return "\n".join(lines) + "\n"


def gpx_text(rows: Sequence[Row], name: str) -> str:
    """The records as GPX 1.1: position, height above mean sea level by GNSS, time."""
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<gpx version="1.1" creator="the Tarn Islands builder" xmlns="http://www.topografix.com/GPX/1/1">',
        "  <metadata><desc>An invented flight in invented islands. Not for navigation.</desc></metadata>",
        f"  <trk><name>{name}</name><trkseg>",
    ]
    lines += [
        f'    <trkpt lat="{row.position.lat_deg:.7f}" lon="{row.position.lon_deg:.7f}">'
        f"<ele>{row.gnss_msl_ft * M_PER_FT:.1f}</ele><time>{iso(row.time)}</time></trkpt>"
        for row in rows
    ]
    return "\n".join([*lines, "  </trkseg></trk>", "</gpx>"]) + "\n"


def _below_360(angle_deg: float) -> float:
    rounded = round(angle_deg, 1)
    return 0.0 if rounded >= 360.0 else rounded
