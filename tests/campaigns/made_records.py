"""Records for mending, made of bytes: few bytes make long stretches of flying, standing, jumping and repeating."""

from __future__ import annotations

from types import MappingProxyType

import numpy as np

from legwise.model.arrays import readonly_floats, readonly_ints
from legwise.model.track import AltitudeKind, Channel, RawTrack, Samples, TrackSource

HEAD, RECORD = 3, 5
MOST_RECORDS = 200
_STEPS_S = (1.0, 0.02, 0.1, 0.5, 2.0, 5.0, 8.0, 60.0)
_KINDS = tuple(AltitudeKind)
_CHANNELS = (Channel.GROUNDSPEED_KT, Channel.TRACK_DEG_TRUE, Channel.VERTICAL_SPEED_FPM, Channel.IAS_KT)
_ODD_TIMES_S = (0.0, -1.0, 3600.0, -3600.0, 30.0, 86_400.0, -86_400.0, -5.0, np.nan, -2e9, 3e9, 1e-6, 700.0, 2000.0)
_ODD_PLACES = (
    (0.0, 0.0), (np.nan, np.nan), (46.5, np.nan), (91.0, -28.0), (-46.5, 152.0), (46.5, 179.9999), (46.5, -180.0),
    (90.0, 0.0), (46.5, -28.0), (46.6, -28.1), (0.0, -28.0), (46.5, 400.0),
)  # fmt: skip


def raw_of(data: bytes) -> RawTrack | None:
    """The records that ``data`` stands for; None where it is too short.

    Three bytes say the interval, which altitudes and channels there are, and what is odd of the whole; then each
    record has five: how often it comes, how time and place go on, altitude, speed.
    """
    if len(data) < HEAD + RECORD:
        return None
    step_s = _STEPS_S[data[0] % len(_STEPS_S)]
    rows: list[tuple[float, float, float, float, float, int]] = []
    time_s, lat, lon, course, part = 1_776_517_960.0, 46.5, -28.0, 20.0, 0
    for at in range(HEAD, len(data) - RECORD + 1, RECORD):
        often, when, where, high, fast = data[at : at + RECORD]
        part += when == 255
        for _ in range(1 + often % 64):
            time_s += step_s if when < 200 else _ODD_TIMES_S[when % len(_ODD_TIMES_S)]
            moved_deg = fast * step_s / 3600.0 / 60.0
            course += (where % 7) - 3 if where < 100 else 0.0
            if where < 160:
                lat += moved_deg * np.cos(np.radians(course))
                lon += moved_deg * np.sin(np.radians(course))
            odd = _ODD_PLACES[where % len(_ODD_PLACES)] if where >= 200 else (lat, lon)
            rows.append((time_s, *odd, high * 40.0 - 400.0, float(fast), part))
            if len(rows) >= MOST_RECORDS:
                return _raw(np.array(rows), data[1], data[2])
            if not np.isfinite(time_s):
                time_s = rows[-2][0] if len(rows) > 1 else 1_776_517_960.0
    return _raw(np.array(rows), data[1], data[2])


def _raw(table: np.ndarray[tuple[int, int], np.dtype[np.float64]], which: int, odd: int) -> RawTrack:
    time_s, lat, lon, high, fast, part = table.T
    altitudes = {kind: readonly_floats(high + 90.0 * index) for index, kind in enumerate(_KINDS) if which >> index & 1}
    channels = {name: readonly_floats(fast + 7.0 * index) for index, name in enumerate(_CHANNELS) if odd >> index & 1}
    if odd & 16:
        high = np.where(np.arange(len(high)) % 3 == 0, np.nan, high)
        altitudes = {kind: readonly_floats(high) for kind in altitudes}
    owner = readonly_ints(part.astype(np.int64) % 2)
    has_owners = bool(odd & 32) and bool(owner.any()) and not bool(owner.all())
    return RawTrack(
        samples=Samples(
            time_s=readonly_floats(time_s),
            lat_deg=readonly_floats(lat),
            lon_deg=readonly_floats(lon),
            altitudes_ft=MappingProxyType(altitudes),
            channels=MappingProxyType(channels),
            segment=readonly_ints(part.astype(np.int64)),
            line=readonly_ints(np.arange(1, len(time_s) + 1)),
        ),
        source=TrackSource(file="log", format="CSV", sha256=""),
        aircraft=("A", "B") if has_owners else (),
        aircraft_index=owner if has_owners else None,
    )
